/** The cost sheet on the job's page: what is asked for it, its schedules, its margin, and what of it the plan marks. */

import { useMemo } from "react";
import type { JobView } from "../document/address.ts";
import type { Reader } from "../document/format.ts";
import type { CostAnswer, Design, JobAnswer } from "../engine/types.ts";
import { CostPanel } from "../features/cost/CostPanel.tsx";
import { CostSchedules } from "../features/cost/CostSchedules.tsx";
import type { PlanMark } from "../plan/contract.ts";
import { announce } from "../store/announce.ts";
import type { JobState } from "../store/jobState.ts";
import { goWithin, refineWithin } from "../store/navigation.ts";
import { keys, useCostAnswer, useOffer } from "../store/queries.ts";
import { text } from "../text.ts";
import { type Derived, useDerived } from "./derived.tsx";

export type CostState = Derived<CostAnswer>;

export function useCost(view: JobView, state: JobState): CostState {
  const { id, shown, answer } = state;
  const design = view.sheet === "cost" ? (shown?.id ?? null) : null;
  const query = useCostAnswer(id, answer?.job.revision ?? null, design);
  return useDerived(query, design, keys.cost(id), text.derived.cost.cancelled);
}

/** What is marked of the line of a schedule that is selected; undefined on other sheets. */
export function useCostMarks(view: JobView, state: JobState, cost: CostState): PlanMark[] | undefined {
  const { selected, sheet } = view;
  const design = state.shown?.design ?? null;
  return useMemo(() => {
    if (sheet !== "cost" || !design || !selected) return undefined;
    if (selected.kind === "goods") return marksOfGoods(selected.id, design);
    if (selected.kind !== "statement") return undefined;
    const subjects = cost.answer?.quote.statements.find(({ id }) => id === selected.id)?.subjects ?? [];
    const own = subjects.flatMap((subject) => marksOfSubject(subject, design));
    const goods = subjects.flatMap((subject) => marksOfGoods(subject, design));
    return [...own, ...goods];
  }, [sheet, selected, design, cost.answer]);
}

const about = (on: PlanMark["on"], id: string): PlanMark => ({
  on,
  id,
  state: "about",
  shape: "part",
  text: text.resilience.key.about,
});

/** The parts and the cables of one kind of equipment. */
function marksOfGoods(equipment: string, design: Design): PlanMark[] {
  const links = (design.links ?? []).filter(
    ({ medium }) => medium.over === "cable" && medium.part === equipment,
  );
  return [
    ...design.parts.filter((part) => part.part === equipment).map(({ id }) => about("part", id)),
    ...links.map(({ id }) => about("link", id)),
  ];
}

function marksOfSubject(subject: string, design: Design): PlanMark[] {
  if (design.parts.some(({ id }) => id === subject)) return [about("part", subject)];
  if (design.links?.some(({ id }) => id === subject)) return [about("link", subject)];
  return [];
}

interface Props {
  view: JobView;
  state: JobState;
  answer: JobAnswer;
  reader: Reader;
}

export function CostSchedule({ view, state, answer, reader, cost }: Props & { cost: CostState }) {
  const { id, shown, planning, edits } = state;
  const isOffer = view.sheet === "cost" && view.costPart === "offers";
  const offer = useOffer(id, answer.job.revision, isOffer);
  if (!cost.answer || !shown) return <p className="quiet-line schedule-empty">{text.cost.none}</p>;
  const { document } = answer;
  return (
    <CostSchedules
      answer={cost.answer}
      offer={{ answer: offer.data ?? null, error: offer.error, again: () => void offer.refetch() }}
      options={planning.plan?.options ?? []}
      job={answer.job.name}
      currency={document.site.currency}
      hasTerms={"terms" in document && document.terms != null}
      design={shown.design}
      shown={shown.id}
      part={view.costPart}
      look={{ sort: view.sort, find: view.find }}
      selected={view.selected}
      reader={reader}
      onPart={(costPart) => goWithin({ costPart, sort: null, find: "" })}
      onLook={(look) => refineWithin(look)}
      onSelect={(selected) => refineWithin({ selected })}
      onShow={(design, name) => {
        goWithin({ design });
        announce(text.options.shownNow(name));
      }}
      onEdit={edits.edit}
    />
  );
}

export function CostMargin({ view, state, reader }: Props) {
  const cost = useCost(view, state);
  if (!cost.answer) return null;
  return (
    <CostPanel
      answer={cost.answer}
      staleNote={cost.isStale ? text.derived.staleNote(cost.answer.revision) : null}
      reader={reader}
    />
  );
}
