/** The coverage sheet's state: the map that is shown, the probe on it, and a part that is taken elsewhere. */

import { useCallback, useMemo, useState } from "react";
import type { JobView } from "../document/address.ts";
import { entranceStorey } from "../document/storeys.ts";
import type { CoverageMap, P, Probe } from "../engine/types.ts";
import type { Moved } from "../plan/MovingMark.tsx";
import type { PartMoveDoors } from "../plan/PartHandle.tsx";
import type { JobState } from "../store/jobState.ts";
import { type PartMoves, usePartMove } from "../store/partMove.ts";
import { client, useMap, useProbe } from "../store/queries.ts";

export interface CoverageState {
  storey: string;
  map: CoverageMap | null;
  isStale: boolean;
  isWorking: boolean;
  error: Error | null;
  probe: Probe | null;
  probeError: Error | null;
  again(): void;
  cancel(): void;
  /** Puts the probe where the pointer or the keys have it on the plan; null when the pointer leaves. */
  follow(at: P | null, storey: string): void;
  /** Puts the probe where it stays until it is moved, or takes it away. */
  setProbe(at: P | null, storey: string): void;
  /** The probe stays where it is put, whatever the pointer does. */
  isHeld: boolean;
  /** Puts the probe where it stays, or lets the pointer have it again. */
  hold(at: P | null, storey: string): void;
  /** A part that is taken elsewhere. */
  moves: PartMoves;
  /** Where the plan draws it; null while nothing is. */
  moved: Moved | null;
  moveDoors: PartMoveDoors;
  /** The path of the probe that is pointed out, by its place among them. */
  path: number | null;
  setPath(path: number | null): void;
}

/** Probed points lie on a grid of 5 cm: finer is beyond what is computed, and answers are used again. */
const grid = 0.05;

interface Point {
  at: P;
  storey: string;
  stays: boolean;
}

function pointOf(at: P, storey: string, stays: boolean): Point {
  const snap = (value: number) => Math.round(value / grid) * grid;
  return { at: [snap(at[0]), snap(at[1])], storey, stays };
}

export function useCoverage(view: JobView, state: JobState): CoverageState {
  const { id, house, shown, live, answer } = state;
  const isShown = view.sheet === "coverage";
  // A map is of one storey.
  const storey = state.storey === "all" && house ? (entranceStorey(house) ?? "all") : state.storey;
  const revision = answer?.job.revision ?? null;
  const design = shown?.id ?? null;
  const { band, quantity } = view;
  const hasHouse = house !== null;
  const asked = useMemo(
    () => (isShown && design !== null && hasHouse ? { design, storey, band, quantity } : null),
    [isShown, design, hasHouse, storey, band, quantity],
  );
  const map = useMap(id, revision, asked, live);
  const moves = usePartMove(state, asked, map.data?.design === design && !map.isPlaceholderData);
  const { move, take, putDown, putBack } = moves;
  const [point, setPoint] = useState<Point | null>(null);
  const [path, setPath] = useState<number | null>(null);
  const isHere = isShown && point !== null && point.storey === storey && shown !== null;
  const moveAsked = move && { part: move.part, to: move.at };
  const probe = useProbe(
    id,
    revision,
    isHere
      ? { design: move?.design ?? shown.id, storey, at: point.at, band: view.band, move: moveAsked }
      : null,
  );
  const data = map.data ?? null;
  const isSame =
    data !== null && data.storey === storey && data.band === view.band && data.quantity === view.quantity;
  return {
    storey,
    // The map of another storey would be drawn on the wrong plan.
    map: isShown ? (moves.map ?? (data?.storey === storey ? data : null)) : null,
    isStale: moves.map === null && (map.isPlaceholderData || !isSame),
    isWorking: isShown && map.isFetching,
    error: map.error ?? (move?.phase === "placed" ? moves.error : null),
    moves,
    moved: useMemo(
      () =>
        move && {
          part: move.part,
          at: move.at,
          room: move.room,
          isHeld: move.phase === "moving",
          isBehind: moves.isBehind,
        },
      [move, moves.isBehind],
    ),
    moveDoors: useMemo(
      () => ({
        onMove: (to) => {
          // The pointer leaves its probe behind when it takes a part.
          setPoint((before) => (before?.stays ? before : null));
          return take(to);
        },
        onPutDown: putDown,
        onPutBack: putBack,
      }),
      [take, putDown, putBack],
    ),
    probe: isHere ? (probe.data ?? null) : null,
    probeError: isHere ? probe.error : null,
    again: useCallback(() => void map.refetch(), [map.refetch]),
    cancel: useCallback(() => void client.cancelQueries({ queryKey: ["map", id] }), [id]),
    follow: useCallback((at: P | null, on: string) => {
      setPath(null);
      // The pointer's leaving takes away only what the pointer put there; keys move what stays, and it stays there.
      setPoint((before) => (at ? pointOf(at, on, before?.stays ?? false) : before?.stays ? before : null));
    }, []),
    setProbe: useCallback((at: P | null, on: string) => {
      setPath(null);
      setPoint(at && pointOf(at, on, true));
    }, []),
    isHeld: isHere && point.stays,
    hold: useCallback((at: P | null, on: string) => {
      setPath(null);
      setPoint((before) => (at ? pointOf(at, on, true) : before && { ...before, stays: false }));
    }, []),
    path,
    setPath,
  };
}
