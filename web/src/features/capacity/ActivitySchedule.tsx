/** One row for each thing that is done: what it needs, what it gets, and what holds it back. */

import { unmetFirst as unmetBefore } from "../../document/capacity.ts";
import { megabits, milliseconds, number, share } from "../../document/format.ts";
import type { ActivityHour, Spread } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { Head, Not, One, Two } from "./Figures.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { activityName, carrierName } from "./words.ts";

const t = text.capacity.activities;

interface Props extends ScheduleProps {
  unmetFirst: boolean;
}

/** Why an activity gets nothing that could be stated. */
function missing(activity: ActivityHour): string {
  return activity.runs > 0 ? text.capacity.unserved : text.capacity.neverRuns;
}

export function ActivitySchedule({ answer, related, reader, onSelect, unmetFirst }: Props) {
  const { activities } = answer.capacity;
  if (activities.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const rate = (value: number) => megabits(value, reader);
  const wait = (value: number) => milliseconds(value, reader);
  const isCall = ({ kind }: ActivityHour) => kind === "video-call" || kind === "voice-call";
  const call = (activity: ActivityHour, spread: Spread | null, digits: number) =>
    isCall(activity) ? (
      <Two spread={spread} show={(value) => number(value, reader, digits)} none={missing(activity)} />
    ) : (
      <Not said={text.capacity.notACall} />
    );
  return (
    <>
      <ScheduleTable
        caption={text.capacity.scheduleTitles.activities}
        className="activity-table"
        head={t.activity}
        rows={unmetFirst ? unmetBefore(activities) : activities}
        idOf={({ id }) => id}
        nameOf={activityName}
        underOf={({ device, id }) => t.by(partTag(device), id)}
        isChosen={({ id }) => related.activities.has(id)}
        onChoose={({ id }) => onSelect({ kind: "activity", id })}
        columns={[
          {
            id: "needs-down",
            head: <Head name={t.needsDown} unit={t.units.rate} />,
            isNumber: true,
            cell: (a) => <One value={rate(a.needs_down)} />,
          },
          {
            id: "down",
            head: <Head name={t.getsDown} unit={t.units.rate} />,
            isNumber: true,
            cell: (a) => <Two spread={a.down} show={rate} none={missing(a)} />,
          },
          {
            id: "needs-up",
            head: <Head name={t.needsUp} unit={t.units.rate} />,
            isNumber: true,
            cell: (a) => <One value={rate(a.needs_up)} />,
          },
          {
            id: "up",
            head: <Head name={t.getsUp} unit={t.units.rate} />,
            isNumber: true,
            cell: (a) => <Two spread={a.up} show={rate} none={missing(a)} />,
          },
          {
            id: "delay",
            head: <Head name={t.delay} unit={t.units.delay} />,
            isNumber: true,
            cell: (a) => <Two spread={a.delay} show={wait} none={missing(a)} />,
          },
          {
            id: "bears",
            head: <Head name={t.bears} unit={t.units.delay} />,
            isNumber: true,
            isExtra: true,
            cell: (a) =>
              a.max_delay === null ? <Not said={text.capacity.noLimit} /> : <One value={wait(a.max_delay)} />,
          },
          {
            id: "rating",
            head: <Head name={t.rating} unit={t.ratingUnit} />,
            isNumber: true,
            cell: (a) => call(a, a.rating, 0),
          },
          {
            id: "opinion",
            head: <Head name={t.opinion} unit={t.units.opinion} />,
            isNumber: true,
            isExtra: true,
            cell: (a) => call(a, a.opinion, 1),
          },
          {
            id: "met",
            head: t.met,
            isNumber: true,
            cell: (a) => <One value={a.met === null ? null : share(a.met, reader)} none={missing(a)} />,
          },
          {
            id: "held",
            head: t.heldBackBy,
            cell: (a) => (a.held_back_by ? carrierName(a.held_back_by, "carrierShort") : t.heldBackNone),
          },
        ]}
      />
      <p className="schedule-note">{text.capacity.twoFigures}</p>
    </>
  );
}
