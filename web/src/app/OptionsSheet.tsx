/** The options sheet's schedule: what the planner found and what is kept, with the reasons. */

import { keepDesign, removeDesign } from "../document/edits.ts";
import type { Reader } from "../document/format.ts";
import type { JobAnswer } from "../engine/types.ts";
import { OptionsSchedule } from "../features/options/OptionsSchedule.tsx";
import { Reasons } from "../features/options/Reasons.tsx";
import { announce } from "../store/announce.ts";
import type { JobState } from "../store/jobState.ts";
import { goWithin } from "../store/navigation.ts";
import { text } from "../text.ts";

interface Props {
  state: JobState;
  answer: JobAnswer;
  reader: Reader;
}

export function OptionsSheetSchedule({ state, answer, reader }: Props) {
  const { planning, shown, pinned, edits } = state;
  const plan = planning.plan;
  if (!plan) return <p className="quiet-line schedule-empty">{text.options.noneYet}</p>;
  const kept = answer.document.designs ?? [];
  const show = (id: string, name: string) => {
    goWithin({ design: id });
    announce(text.options.shownNow(name));
  };
  // What is kept has its own figures, whether it is as planned or was changed since; what the planner does not have
  // stands below what it has.
  const own = new Map(state.kept.map((option) => [option.id, option]));
  const extra = [...own.values(), ...(shown && !own.has(shown.id) ? [shown] : [])].filter(
    (option) => !plan.options.some((planned) => planned.id === option.id),
  );
  return (
    <>
      <OptionsSchedule
        options={[
          ...plan.options.map((option) => own.get(option.id) ?? (option.id === shown?.id ? shown : option)),
          ...extra,
        ]}
        best={plan.options[0]?.id ?? null}
        shown={shown?.id ?? null}
        pinned={pinned}
        kept={kept.map((design) => design.id)}
        reader={reader}
        onShow={(option) => show(option.id, option.design.name)}
        onPin={(option) => {
          goWithin({ pinned: option?.id ?? null });
          announce(option ? text.options.pinnedNow(option.design.name) : text.options.unpinnedNow);
        }}
        onKeep={(option) => edits.edit(text.options.keptEdit(option.design.name), keepDesign(option.design))}
        onRemove={(option) =>
          edits.edit(text.options.removedEdit(option.design.name), removeDesign(option.id))
        }
      />
      <Reasons
        plan={plan}
        shown={shown}
        isKept={state.isShownKept}
        pinned={pinned}
        reader={reader}
        onShow={(id) => show(id, plan.options.find((option) => option.id === id)?.design.name ?? id)}
      />
    </>
  );
}
