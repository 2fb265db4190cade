/** Ways between parts: what each carries alone, and how much of that is in use. */

import { rate, share } from "../../document/format.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { One, Two } from "./Figures.tsx";
import type { ScheduleProps } from "./schedule.ts";

const t = text.capacity.uplinks;

export function UplinkSchedule({ answer, related, reader, onSelect }: ScheduleProps) {
  const { uplinks } = answer.capacity;
  if (uplinks.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const percent = (value: number) => share(value, reader);
  return (
    <>
      <ScheduleTable
        caption={text.capacity.scheduleTitles.uplinks}
        head={t.way}
        rows={uplinks}
        idOf={({ part }) => part}
        nameOf={({ part, parent }) => t.between(partTag(parent), partTag(part))}
        underOf={({ band }) => (band === null ? t.cable : t.radio(text.capacity.band(band)))}
        isChosen={({ part }) => related.uplinks.has(part)}
        onChoose={({ part }) => onSelect({ kind: "uplink", id: part })}
        columns={[
          {
            id: "rate-down",
            head: t.rateDown,
            isNumber: true,
            cell: (way) => <One value={rate(way.rate_down, reader)} />,
          },
          {
            id: "down",
            head: t.down,
            isNumber: true,
            cell: (way) => <Two spread={way.down} show={percent} none={text.unknown} />,
          },
          {
            id: "rate-up",
            head: t.rateUp,
            isNumber: true,
            cell: (way) => <One value={rate(way.rate_up, reader)} />,
          },
          {
            id: "up",
            head: t.up,
            isNumber: true,
            cell: (way) => <Two spread={way.up} show={percent} none={text.unknown} />,
          },
          {
            id: "limit",
            head: t.limit,
            isNumber: true,
            cell: (way) => <One value={share(way.limit, reader, 0)} />,
          },
        ]}
      />
      <p className="schedule-note">{text.capacity.twoFigures}</p>
    </>
  );
}
