/** The work: hours by task with what they may come to, and who does it in how many days. */

import { number, share } from "../../document/format.ts";
import type { LabourLine } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Known } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import { count, hours } from "./words.ts";

const t = text.cost;
const secondsPerHour = 3600;

export function WorkSchedule(props: ScheduleProps) {
  const { answer, reader } = props;
  const { labour, hours: all, crew } = answer.quote;
  const total = labour.reduce((sum, line) => sum + line.time, 0);
  return (
    <>
      <Listing<LabourLine>
        {...listed(props)}
        caption={t.partTitles.work}
        none={t.tasks.none}
        first={{ id: "task", name: t.tasks.task, value: ({ task }) => task }}
        rows={labour}
        idOf={({ task }) => task}
        nameOf={({ task }) => task}
        columns={[
          {
            id: "quantity",
            name: t.tasks.quantity,
            isNumber: true,
            value: ({ quantity }) => quantity,
            cell: ({ quantity }) => <Known value={count(quantity, reader)} />,
          },
          {
            id: "time",
            name: t.tasks.time,
            unit: "h",
            scale: 1 / secondsPerHour,
            isNumber: true,
            value: ({ time }) => time,
            cell: ({ time }) => <Known value={`${number(time / secondsPerHour, reader, 2)}\u00a0h`} />,
          },
          {
            id: "share",
            name: t.tasks.share,
            unit: "%",
            scale: 100,
            isNumber: true,
            value: ({ time }) => (total > 0 ? time / total : null),
            cell: ({ time }) => <Known value={total > 0 ? share(time / total, reader) : null} />,
          },
        ]}
      />
      {labour.length > 0 && (
        <div className="work-foot">
          <section aria-labelledby="work-hours">
            <h3 id="work-hours">{t.tasks.hours}</h3>
            <HoursRange {...all} said={t.tasks.range(...spread(props))} />
            <dl className="lines">
              {(["p20", "p50", "p80"] as const).map((end) => (
                <div key={end}>
                  <dt>{t.tasks[end]}</dt>
                  <dd>
                    <Known value={hours(all[end], reader)} />
                  </dd>
                </div>
              ))}
            </dl>
          </section>
          <p className="schedule-note">
            {crew.days === null ? t.daysUnknown(crew.people) : t.days(crew.people, crew.days)}.{" "}
            {crew.days_p80 !== null && `${t.daysP80(crew.days_p80)}. `}
            {crew.hours_by_two > 0 && `${t.byTwo(hours(crew.hours_by_two, reader))}. `}
            {t.tasks.note}
          </p>
        </div>
      )}
    </>
  );
}

function spread({ answer, reader }: ScheduleProps): [string, string, string] {
  const { p20, p50, p80 } = answer.quote.hours;
  return [hours(p20, reader), hours(p50, reader), hours(p80, reader)];
}

/** From a job that goes well to one that goes badly, on a line from nought. */
function HoursRange({ p20, p50, p80, said }: { p20: number; p50: number; p80: number; said: string }) {
  const width = 260;
  const x = (value: number) => 4 + (p80 > 0 ? (value / p80) * (width - 8) : 0);
  return (
    <svg className="hours-range" width={width} height="18" role="img" aria-label={said}>
      <path className="hours-line" d={`M4,9H${width - 4}M4,5V13`} />
      <path className="hours-spread" d={`M${x(p20)},9H${x(p80)}`} />
      <path className="hours-median" d={`M${x(p50)},2V16`} />
    </svg>
  );
}
