/** The schedules of the capacity sheet: one at a time, each with its export. */

import { type ScheduleName, type Selected, scheduleNames } from "../../document/address.ts";
import { relatedTo } from "../../document/capacity.ts";
import { fileName } from "../../document/csv.ts";
import type { Reader } from "../../document/format.ts";
import type { CapacityAnswer } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { download } from "../../ui/download.ts";
import { ActivitySchedule } from "./ActivitySchedule.tsx";
import { ChannelPlan, ThingChannels } from "./ChannelPlan.tsx";
import { ChannelSchedule } from "./ChannelSchedule.tsx";
import { DeviceSchedule, HubLinks } from "./DeviceSchedule.tsx";
import { exportOf, type FileOf } from "./exports.ts";
import { LineSchedule } from "./LineSchedule.tsx";
import { RecordingSchedule } from "./RecordingSchedule.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { UplinkSchedule } from "./UplinkSchedule.tsx";
import { bottleneckSentence } from "./words.ts";
import "./capacity.css";

const t = text.capacity;

interface Props {
  answer: CapacityAnswer;
  /** The job and the design, for names of files. */
  job: string;
  design: string;
  schedule: ScheduleName;
  unmetFirst: boolean;
  selected: Selected | null;
  reader: Reader;
  onSchedule(schedule: ScheduleName): void;
  onUnmetFirst(unmetFirst: boolean): void;
  onSelect(selected: Selected | null): void;
}

export function CapacitySchedules(props: Props) {
  const { answer, job, design, schedule, unmetFirst, selected, reader, onSelect } = props;
  const save = (name: FileOf) => {
    const file = fileName(job, design, name);
    download(file, exportOf(name, answer, unmetFirst));
    announce(t.exported(file));
  };
  const shared: ScheduleProps = {
    answer,
    related: relatedTo(answer, selected),
    reader,
    onSelect: (next) => onSelect(selected?.kind === next.kind && selected.id === next.id ? null : next),
  };
  return (
    <>
      {/* Where the margin stands below the schedules, the headline comes before them. */}
      <p className="capacity-lead">{bottleneckSentence(answer.capacity.bottleneck, reader)}</p>
      <div className="schedule-bar">
        <Choice
          label={t.schedules}
          canFold
          options={scheduleNames.map((name) => ({
            value: name,
            label: t.scheduleNames[name],
            name: t.scheduleTitles[name],
          }))}
          value={schedule}
          onChange={props.onSchedule}
        />
        {schedule === "activities" && (
          <label className="tick">
            <input
              type="checkbox"
              checked={unmetFirst}
              onChange={(event) => props.onUnmetFirst(event.target.checked)}
            />
            {t.activities.unmetFirst}
          </label>
        )}
        <ExportButton name={t.scheduleTitles[schedule]} onClick={() => save(schedule)} />
      </div>
      {schedule === "channels" && <ChannelSchedule {...shared} />}
      {schedule === "devices" && (
        <>
          <DeviceSchedule {...shared} />
          {answer.things.length > 0 && (
            <HubLinks
              answer={answer}
              reader={reader}
              action={<ExportButton name={t.devices.hubs} onClick={() => save("hubs")} />}
              isChosen={(device) => shared.related.devices.has(device)}
              onChoose={(id) => shared.onSelect({ kind: "device", id })}
            />
          )}
        </>
      )}
      {schedule === "activities" && <ActivitySchedule {...shared} unmetFirst={unmetFirst} />}
      {schedule === "line" && <LineSchedule {...shared} />}
      {schedule === "uplinks" && <UplinkSchedule {...shared} />}
      {schedule === "recordings" && <RecordingSchedule {...shared} />}
      {schedule === "plan" && (
        <>
          <ChannelPlan {...shared} />
          {answer.radio_plan.thing_channels.length > 0 && (
            <ThingChannels
              answer={answer}
              reader={reader}
              action={<ExportButton name={t.plan.things} onClick={() => save("things")} />}
            />
          )}
        </>
      )}
    </>
  );
}

function ExportButton({ name, onClick }: { name: string; onClick(): void }) {
  return (
    <button type="button" className="button export" aria-label={t.exportOf(name)} onClick={onClick}>
      {t.exportAs}
    </button>
  );
}
