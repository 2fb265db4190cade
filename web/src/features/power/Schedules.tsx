/** The schedules of the power sheet: one at a time, each with its file. */

import type { ReactNode } from "react";
import { type PowerPart, powerParts, type Selected } from "../../document/address.ts";
import { fileName } from "../../document/csv.ts";
import type { Reader } from "../../document/format.ts";
import type { Arrangement } from "../../document/listing.ts";
import type { BatteryRow, CablingAnswer, House } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { download } from "../../ui/download.ts";
import { BatterySchedule, LoadSchedule } from "./BatterySchedules.tsx";
import { FedSchedule, FeedSchedule, WarmthSchedule } from "./FedSchedules.tsx";
import { headline } from "./PowerPanel.tsx";
import { StartSchedule, SupplySchedule } from "./SupplySchedules.tsx";
import type { ScheduleProps } from "./schedule.ts";
import "./power.css";

const t = text.power;

interface Props {
  answer: CablingAnswer;
  batteries: readonly BatteryRow[] | null;
  house: House;
  /** The job and the design, for names of files. */
  job: string;
  design: string;
  part: PowerPart;
  look: Arrangement;
  selected: Selected | null;
  reader: Reader;
  onPart(part: PowerPart): void;
  onLook(look: Arrangement): void;
  onSelect(selected: Selected | null): void;
}

const schedules: Record<PowerPart, (props: ScheduleProps) => ReactNode> = {
  supplies: SupplySchedule,
  fed: FedSchedule,
  warmth: WarmthSchedule,
  start: StartSchedule,
  batteries: BatterySchedule,
  loads: LoadSchedule,
  feeds: FeedSchedule,
};

export function PowerSchedules(props: Props) {
  const { part, selected, onSelect } = props;
  const Schedule = schedules[part];
  return (
    <>
      {/* Where the margin stands below the schedules, the headline comes before them. */}
      <p className="capacity-lead">{headline(props.answer.wires.supplies, props.reader)}</p>
      <Schedule
        key={part}
        answer={props.answer}
        batteries={props.batteries}
        house={props.house}
        reader={props.reader}
        selected={selected}
        look={props.look}
        lead={
          <Choice
            label={text.cabling.schedules}
            canFold
            options={powerParts.map((value) => ({
              value,
              label: t.partNames[value],
              name: t.partTitles[value],
            }))}
            value={part}
            onChange={props.onPart}
          />
        }
        onLook={props.onLook}
        onExport={(content) => {
          const file = fileName(props.job, props.design, part);
          download(file, content);
          announce(text.capacity.exported(file));
        }}
        onSelect={(next) => onSelect(selected?.kind === next.kind && selected.id === next.id ? null : next)}
      />
    </>
  );
}
