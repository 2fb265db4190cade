/** The schedules of the resilience sheet: one at a time, each with its search, order and export. */

import type { ReactNode } from "react";
import { type StayPart, stayParts } from "../../document/address.ts";
import { fileName } from "../../document/csv.ts";
import { announce } from "../../store/announce.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { download } from "../../ui/download.ts";
import { ComponentSchedule } from "./ComponentSchedule.tsx";
import { CutSchedule, ImportanceSchedule } from "./CutSchedules.tsx";
import { BatterySchedule, ChangeSchedule, OutageSchedule } from "./OtherSchedules.tsx";
import { headline } from "./ServicePanel.tsx";
import { ServiceSchedule } from "./ServiceSchedule.tsx";
import type { ScheduleProps } from "./schedule.ts";
import "./resilience.css";

const t = text.resilience;

interface Props extends Omit<ScheduleProps, "lead" | "onExport"> {
  /** The job's and the design's names, for names of files; the currency of prices. */
  job: string;
  currency: string;
  part: StayPart;
  powerLink: ReactNode;
  onPart(part: StayPart): void;
}

export function StaySchedules(props: Props) {
  const { answer, known, service, job, part, onPart } = props;
  const shared: ScheduleProps = {
    ...props,
    onExport: (content) => {
      const file = fileName(job, known.design.name, part);
      download(file, content);
      announce(text.capacity.exported(file));
    },
    lead: (
      <Choice
        label={t.schedules}
        canFold
        options={stayParts.map((name) => ({
          value: name,
          label: t.partNames[name],
          name: t.partTitles[name],
        }))}
        value={part}
        onChange={onPart}
      />
    ),
  };
  return (
    <>
      {/* Where the margin stands below the schedules, the headline comes before them. */}
      <p className="lead-line">{headline(service, answer, known)}</p>
      <OnePart {...shared} part={part} currency={props.currency} powerLink={props.powerLink} />
    </>
  );
}

function OnePart({
  part,
  currency,
  powerLink,
  ...shared
}: ScheduleProps & Pick<Props, "part" | "currency" | "powerLink">) {
  switch (part) {
    case "cuts":
      return <CutSchedule {...shared} />;
    case "importances":
      return <ImportanceSchedule {...shared} />;
    case "components":
      return <ComponentSchedule {...shared} />;
    case "outages":
      return <OutageSchedule {...shared} />;
    case "batteries":
      return <BatterySchedule {...shared} powerLink={powerLink} />;
    case "changes":
      return <ChangeSchedule {...shared} currency={currency} />;
    default:
      return <ServiceSchedule {...shared} />;
  }
}
