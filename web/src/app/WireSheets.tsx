/** What of the cabling and power sheets is not the drawing: their schedules, the margin, and what is not computed. */

import type { JobView, Selected } from "../document/address.ts";
import { figureOf } from "../document/figures.ts";
import type { Reader } from "../document/format.ts";
import type { House, JobAnswer } from "../engine/types.ts";
import { CablingPanel } from "../features/cabling/CablingPanel.tsx";
import { CablingSchedules } from "../features/cabling/Schedules.tsx";
import { PowerPanel } from "../features/power/PowerPanel.tsx";
import { PowerSchedules } from "../features/power/Schedules.tsx";
import type { JobState } from "../store/jobState.ts";
import { goWithin, refineWithin } from "../store/navigation.ts";
import { text } from "../text.ts";
import { Failure } from "../ui/Notice.tsx";
import { DerivedUnfinished } from "./derived.tsx";
import { storeyOfWire, type WiresState } from "./wires.ts";

interface Props {
  view: JobView;
  state: JobState;
  answer: JobAnswer;
  house: House;
  wires: WiresState;
  reader: Reader;
  /** The storey that anything else that can be selected is on. */
  storeyOf(selected: Selected | null): string | null;
}

export const isWireSheet = (view: JobView): boolean => view.sheet === "cabling" || view.sheet === "power";

export function WireSchedule({ view, state, answer, house, wires, reader, storeyOf }: Props) {
  const { shown } = state;
  if (!wires.answer || !shown) {
    const none = view.sheet === "power" ? text.power.none : text.cabling.none;
    return <p className="quiet-line schedule-empty">{none}</p>;
  }
  const cabling = wires.answer;
  const shared = {
    answer: cabling,
    house,
    job: answer.job.name,
    design: shown.design.name,
    look: { sort: view.sort, find: view.find },
    selected: view.selected,
    reader,
    onLook: refineWithin,
    onSelect: (selected: Selected | null) => {
      const storey = storeyOfWire(cabling, wires.drawn, house, selected, state.storey) ?? storeyOf(selected);
      const isElsewhere = storey !== null && view.storey !== "all" && storey !== state.storey;
      refineWithin({ selected, ...(isElsewhere ? { storey } : {}) });
    },
  };
  return view.sheet === "cabling" ? (
    <CablingSchedules
      {...shared}
      part={view.cablingPart}
      onPart={(cablingPart) => goWithin({ cablingPart, sort: null, find: "" })}
    />
  ) : (
    <PowerSchedules
      {...shared}
      batteries={wires.batteries}
      part={view.powerPart}
      onPart={(powerPart) => goWithin({ powerPart, sort: null, find: "" })}
    />
  );
}

/** What the margin says of the design's cables, or of its power. */
export function WireMargin({ view, state, house, wires, reader }: Omit<Props, "storeyOf" | "answer">) {
  const { shown } = state;
  if (!wires.answer || !shown) return null;
  const shared = {
    answer: wires.answer,
    house,
    selected: view.selected,
    staleNote: wires.isStale ? text.work.stale(wires.answer.revision) : null,
    reader,
    onClear: () => refineWithin({ selected: null }),
  };
  return view.sheet === "power" ? (
    <PowerPanel {...shared} batteries={wires.batteries} />
  ) : (
    <CablingPanel {...shared} length={figureOf(shown, "cable.length")} cautions={wires.cautions} />
  );
}

/** Why something is not computed, and what to do. */
export function WiresUnfinished({ wires }: { wires: WiresState }) {
  return (
    <>
      <DerivedUnfinished of={wires} words={text.derived.cabling} />
      {wires.batteriesError && (
        <Failure
          error={wires.batteriesError}
          title={text.work.batteriesFailed}
          onAgain={wires.againBatteries}
        />
      )}
      {wires.cautionsError && (
        <Failure error={wires.cautionsError} title={text.work.cautionsFailed} onAgain={wires.againCautions} />
      )}
    </>
  );
}
