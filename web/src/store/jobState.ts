/** All that is known of the job that is shown: read from the server, with what is chosen in the address. */

import { useCallback, useEffect, useMemo } from "react";
import type { JobView } from "../document/address.ts";
import { type Keynote, keynotesOf } from "../document/keynotes.ts";
import { entranceStorey } from "../document/storeys.ts";
import { ServerProblem } from "../engine/calls.ts";
import type { Live } from "../engine/live.ts";
import type { DesignOption, House, JobAnswer, Plan } from "../engine/types.ts";
import { text } from "../text.ts";
import { announce } from "./announce.ts";
import { type JobEdits, useEdits } from "./edits.ts";
import { useLive } from "./live.ts";
import { drawn, type Outbox, opened, useOutbox } from "./outbox.ts";
import { client, keys, useAssessment, useAssessments, useHouse, useJob, usePlan } from "./queries.ts";

export interface PlanState {
  plan: Plan | null;
  /** The revision that the plan is of. */
  revision: number | null;
  isStale: boolean;
  isWorking: boolean;
  error: Error | null;
  start(): void;
  cancel(): void;
}

export interface JobState {
  id: string;
  answer: JobAnswer | null;
  error: Error | null;
  house: House | null;
  houseError: Error | null;
  live: Live | null;
  planning: PlanState;
  /** The design that is shown, with its figures and findings. */
  shown: DesignOption | null;
  isShownKept: boolean;
  /** The designs that the job keeps, each with its own figures; those that are not assessed yet are left out. */
  kept: DesignOption[];
  pinned: DesignOption | null;
  /** The design of the address, if this revision does not have it. */
  missingDesign: string | null;
  keynotes: Keynote[];
  storey: string;
  edits: JobEdits;
  outbox: Outbox;
  reload(): void;
}

function usePlanning(id: string, revision: number | null, live: Live | null): PlanState {
  const query = usePlan(id, revision, live);
  const { refetch } = query;
  const count = query.isPlaceholderData ? null : (query.data?.plan.options.length ?? null);
  useEffect(() => {
    if (count !== null) announce(text.work.planned(count));
  }, [count]);
  return {
    plan: query.data?.plan ?? null,
    revision: query.data?.revision ?? null,
    isStale: query.isPlaceholderData,
    isWorking: query.isFetching,
    error: query.error,
    start: useCallback(() => void refetch(), [refetch]),
    cancel: useCallback(() => {
      void client.cancelQueries({ queryKey: keys.plan(id) });
      announce(text.work.cancelled);
    }, [id]),
  };
}

interface Chosen {
  option: DesignOption | null;
  isMissing: boolean;
}

/** A design by its id: the job's own first, then an option of the plan, then one the server still knows. */
function useDesign(id: string, answer: JobAnswer | null, plan: PlanState, design: string | null): Chosen {
  const isKept = answer?.document.designs?.some((kept) => kept.id === design) ?? false;
  const option = plan.plan?.options.find((o) => o.id === design) ?? null;
  const asks = design !== null && (isKept || (plan.plan !== null && !plan.isWorking && option === null));
  const assessment = useAssessment(id, answer?.job.revision ?? null, asks ? design : null);
  if (design === null) return { option: null, isMissing: false };
  const assessed = asks && assessment.data?.option.id === design ? assessment.data.option : null;
  const isRefused = asks && assessment.error instanceof ServerProblem;
  return { option: assessed ?? option, isMissing: isRefused && option === null };
}

export function useJobState(view: JobView): JobState {
  const { id } = view;
  const edits = useEdits(id);
  const outbox = useOutbox(id);
  const live = useLive(id, edits.flush);
  const job = useJob(id);
  const answer = job.data ?? null;
  const revision = answer?.job.revision ?? null;
  const house = useHouse(id, revision);
  const planning = usePlanning(id, revision, live);
  const chosen = useDesign(id, answer, planning, view.design);
  const pinned = useDesign(id, answer, planning, view.pinned);
  const keptIds = answer?.document.designs?.map((design) => design.id) ?? [];
  const kept = useAssessments(id, revision, view.sheet === "options" ? keptIds : []);
  const best = planning.plan?.options[0] ?? null;
  const shown = chosen.option ?? (view.design === null || chosen.isMissing ? best : null);

  const { flush } = edits;
  useEffect(() => {
    if (revision === null) return;
    opened(id, revision);
    flush();
  }, [id, revision, flush]);
  const drawnRevision = house.data?.revision ?? null;
  useEffect(() => {
    if (drawnRevision !== null) drawn(id, drawnRevision);
  }, [id, drawnRevision]);

  const keynotes = useMemo(() => {
    const findings = [...(shown?.findings ?? []), ...(answer?.problems ?? [])];
    return keynotesOf(findings, house.data ?? null, shown?.design ?? null, answer?.document ?? null);
  }, [shown, answer, house.data]);

  const isStorey = house.data?.storeys.some((storey) => storey.id === view.storey) || view.storey === "all";
  return {
    id,
    answer,
    error: job.error,
    house: house.data ?? null,
    houseError: house.error,
    live,
    planning,
    shown,
    isShownKept: answer?.document.designs?.some((kept) => kept.id === shown?.id) ?? false,
    kept,
    pinned: pinned.option,
    missingDesign: chosen.isMissing ? view.design : null,
    keynotes,
    storey:
      isStorey && view.storey !== null
        ? view.storey
        : house.data
          ? (entranceStorey(house.data) ?? "all")
          : "all",
    edits,
    outbox,
    reload: () => void job.refetch(),
  };
}
