/**
 * A part that is taken elsewhere on its storey: a coarse map on the way, the full one where it is put down, then an edit.
 * A kept design is edited at once. An option is the planner's: a copy of it is kept first, if the reader wants that.
 */

import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import { keepDesign, movePart, ownCopy } from "../document/edits.ts";
import { type MapAsked, readAssessment, readMovedMap } from "../engine/calls.ts";
import { Newest } from "../engine/newest.ts";
import type { CoverageMap, P3 } from "../engine/types.ts";
import { text } from "../text.ts";
import { announce } from "./announce.ts";
import type { JobState } from "./jobState.ts";
import { goWithin } from "./navigation.ts";
import { assessmentKey, client } from "./queries.ts";

/** A point of the plan [m]. */
type Place = readonly [number, number];

export interface PartMove {
  /** The design that it is a part of. */
  design: string;
  part: string;
  /** Where the design has it. */
  from: P3;
  at: Place;
  room: string;
  /** On the way; put down, and not stored; being stored. */
  phase: "moving" | "placed" | "saving";
  /** The design that has it there once that is stored. */
  target: string | null;
}

export interface PartMoves {
  move: PartMove | null;
  /** The new place is stored, and what follows from it is not computed yet. */
  isStored: boolean;
  /** The map with the part where it is now; null while there is none yet. */
  map: CoverageMap | null;
  /** What is shown is not of where the part is now, or coarse where it is put down. */
  isBehind: boolean;
  error: Error | null;
  /** Takes a part to a place; false while a place is being stored, which is not taken up again before it is. */
  take(to: { part: string; at: Place; room: string }): boolean;
  putDown(): void;
  putBack(): void;
  /** Keeps a copy of the option, with the part where it is. */
  keepCopy(): void;
}

interface Question {
  asked: MapAsked;
  part: string;
  to: Place;
  isCoarse: boolean;
}

interface Answered {
  map: CoverageMap;
  question: Question;
}

/** Places nearer than this are the same [m]. */
const same = 0.005;

const isAt = (at: readonly number[] | undefined, to: Place): boolean =>
  at !== undefined && Math.hypot((at[0] ?? 0) - to[0], (at[1] ?? 0) - to[1]) < same;

/** `asked` is the map that the sheet shows, `isNew` whether the map that it has is of the design and revision shown. */
export function usePartMove(state: JobState, asked: MapAsked | null, isNew: boolean): PartMoves {
  const { id, shown, isShownKept, edits, outbox, answer, planning } = state;
  const [move, setMove] = useState<PartMove | null>(null);
  const [answered, setAnswered] = useState<Answered | null>(null);
  const [error, setError] = useState<Error | null>(null);
  const newest = useMemo(
    () =>
      new Newest<Question, CoverageMap>(
        ({ asked: map, part, to, isCoarse }, signal) => readMovedMap(id, map, { part, to }, isCoarse, signal),
        (map, question) => {
          setAnswered({ map, question });
          setError(null);
        },
        setError,
      ),
    [id],
  );
  useEffect(() => () => newest.cancel(), [newest]);

  const end = useCallback(() => {
    newest.cancel();
    setMove(null);
    setAnswered(null);
    setError(null);
  }, [newest]);

  // What is asked for: once for each place, coarse or full, and again when band, quantity or storey change.
  const lastAsked = useRef("");
  useEffect(() => {
    if (!move || !asked) {
      lastAsked.current = "";
      return;
    }
    const isCoarse = move.phase === "moving";
    const question = { asked: { ...asked, design: move.design }, part: move.part, to: move.at, isCoarse };
    const key = JSON.stringify(question);
    if (key === lastAsked.current) return;
    lastAsked.current = key;
    if (isCoarse) newest.ask(question);
    else newest.askNow(question);
  }, [move, asked, newest]);

  // Another design is looked at, or another sheet: the part is where it was.
  const shownId = shown?.id ?? null;
  const isLeft =
    move !== null &&
    (asked === null || (shownId !== null && shownId !== move.design && shownId !== move.target));
  useEffect(() => {
    if (isLeft) end();
  }, [isLeft, end]);

  // Stored: what is drawn follows when the server's own answers are there.
  const revision = answer?.job.revision ?? null;
  const target = move?.phase === "saving" ? move.target : null;
  const kept = answer?.document.designs?.find((design) => design.id === target);
  const isStored = move !== null && isAt(kept?.parts.find((part) => part.id === move.part)?.at, move.at);
  const isDrawn =
    move !== null && isAt(shown?.design.parts.find((part) => part.id === move.part)?.at, move.at);
  const isRefused = target !== null && outbox.refusal !== null;
  useEffect(() => {
    if (isRefused) return end();
    if (target === null || revision === null || !isStored) return;
    if (shownId === target) {
      if (isDrawn && isNew) end();
      return;
    }
    const queryKey = assessmentKey(id, revision, target);
    const queryFn = () => readAssessment(id, target);
    // A failure is told where the design is read again.
    client
      .fetchQuery({ queryKey, queryFn, staleTime: Number.POSITIVE_INFINITY })
      .catch(() => null)
      .then(() => goWithin({ design: target }));
  }, [id, revision, target, shownId, isStored, isDrawn, isNew, isRefused, end]);

  const store = useCallback(
    (design: string, moved: PartMove) => {
      const [x, y] = moved.at;
      edits.edit(text.move.edit(moved.part), movePart(design, moved.part, [x, y, moved.from[2]], moved.room));
      setMove({ ...moved, phase: "saving", target: design });
    },
    [edits],
  );
  const latest = useRef({ move, shown, isShownKept });
  latest.current = { move, shown, isShownKept };

  const before = answered?.question.asked;
  const isOfSheet =
    answered !== null &&
    before?.storey === asked?.storey &&
    before?.band === asked?.band &&
    before?.quantity === asked?.quantity;
  const isFine = move?.phase === "moving" || answered?.question.isCoarse === false;

  return {
    move,
    isStored,
    map: isOfSheet ? answered.map : null,
    isBehind: move !== null && !(isOfSheet && isAt(answered.question.to, move.at) && isFine),
    error,
    take: useCallback(({ part, at, room }) => {
      const { shown: option, move: before } = latest.current;
      const placed = option?.design.parts.find((p) => p.id === part);
      if (!option || !placed || before?.phase === "saving") return false;
      const from = before?.part === part ? before.from : placed.at;
      const next: PartMove = { design: option.id, part, from, at, room, phase: "moving", target: null };
      latest.current = { ...latest.current, move: next };
      setMove(next);
      return true;
    }, []),
    putDown: useCallback(() => {
      const { move: now, isShownKept: isKept } = latest.current;
      if (now?.phase !== "moving") return;
      if (isAt(now.from, now.at)) return end();
      if (isKept) return store(now.design, now);
      setMove({ ...now, phase: "placed" });
      announce(text.move.placed(now.part));
    }, [store, end]),
    putBack: useCallback(() => {
      const { move: now } = latest.current;
      if (!now || now.phase === "saving") return;
      end();
      announce(text.move.back(now.part));
    }, [end]),
    keepCopy: useCallback(() => {
      const { move: now, shown: option } = latest.current;
      if (now?.phase !== "placed" || !option) return;
      const taken = [
        ...(answer?.document.designs ?? []).map((design) => design.id),
        ...(planning.plan?.options ?? []).map((other) => other.id),
      ];
      const copy = ownCopy(option.design, taken, (number) => text.move.copyName(option.design.name, number));
      edits.edit(text.options.keptEdit(copy.name), keepDesign(copy));
      store(copy.id, now);
    }, [answer, planning.plan, edits, store]),
  };
}
