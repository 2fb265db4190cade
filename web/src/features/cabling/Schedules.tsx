/** The schedules of the cabling sheet: one at a time, each with its file. */

import { type CablingPart, cablingParts, type Selected } from "../../document/address.ts";
import { fileName } from "../../document/csv.ts";
import type { Reader } from "../../document/format.ts";
import type { Arrangement } from "../../document/listing.ts";
import { notLaid, wiresOf } from "../../document/wiring.ts";
import type { CablingAnswer, House } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { download } from "../../ui/download.ts";
import { CableSchedule } from "./CableSchedule.tsx";
import { HoleSchedule } from "./HoleSchedule.tsx";
import { PanelSchedule } from "./PanelSchedule.tsx";
import { BundleSchedule, MadeSchedule, PathwaySchedule } from "./PathwaySchedules.tsx";
import { PortSchedule } from "./PortSchedule.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { labelsText } from "./words.ts";
import "./cabling.css";

const t = text.cabling;

interface Props {
  answer: CablingAnswer;
  house: House;
  /** The job and the design, for names of files. */
  job: string;
  design: string;
  part: CablingPart;
  look: Arrangement;
  selected: Selected | null;
  reader: Reader;
  onPart(part: CablingPart): void;
  onLook(look: Arrangement): void;
  onSelect(selected: Selected | null): void;
}

const schedules: Record<CablingPart, (props: ScheduleProps) => React.ReactNode> = {
  cables: CableSchedule,
  holes: HoleSchedule,
  pathways: PathwaySchedule,
  made: MadeSchedule,
  bundles: BundleSchedule,
  ports: PortSchedule,
  panel: PanelSchedule,
};

export function CablingSchedules(props: Props) {
  const { answer, part, selected, onSelect } = props;
  const Schedule = schedules[part];
  const missing = notLaid(answer);
  return (
    <>
      {/* Where the margin stands below the schedules, the headline comes before them. */}
      <p className="capacity-lead">
        {t.lead(answer.wiring.routes.length, missing.length > 0 ? labelsText(answer, missing) : null)}
      </p>
      <Schedule
        key={part}
        answer={answer}
        house={props.house}
        reader={props.reader}
        selected={selected}
        related={wiresOf(answer, selected)}
        look={props.look}
        lead={
          <Choice
            label={t.schedules}
            canFold
            options={cablingParts.map((value) => ({
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
