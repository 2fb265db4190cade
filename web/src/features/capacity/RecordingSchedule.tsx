/** What cameras keep: the days that are kept against the days that are wanted. */

import { duration, number, octets } from "../../document/format.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { One } from "./Figures.tsx";
import type { ScheduleProps } from "./schedule.ts";

const t = text.capacity.recordings;

export function RecordingSchedule({ answer, related, reader, onSelect }: ScheduleProps) {
  const { recordings } = answer.capacity;
  if (recordings.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  return (
    <ScheduleTable
      caption={text.capacity.scheduleTitles.recordings}
      head={t.camera}
      rows={recordings}
      idOf={({ device }) => device}
      nameOf={({ device }) => partTag(device)}
      isChosen={({ device }) => related.devices.has(device)}
      onChoose={({ device }) => onSelect({ kind: "device", id: device })}
      columns={[
        {
          id: "cameras",
          head: t.cameras,
          isNumber: true,
          cell: (r) => <One value={number(r.cameras, reader)} />,
        },
        { id: "store", head: t.store, cell: (r) => (r.store === null ? t.overLine : partTag(r.store)) },
        {
          id: "day",
          head: t.aDay,
          isNumber: true,
          cell: (r) => <One value={octets(r.octets_a_day, reader)} />,
        },
        {
          id: "wanted",
          head: t.wanted,
          isNumber: true,
          cell: (r) => <One value={duration(r.wanted, reader)} />,
        },
        {
          id: "keeps",
          head: t.keeps,
          isNumber: true,
          cell: (r) =>
            r.keeps === null ? (
              <>
                <One value={null} />
                <span className="figure-note">{t.missing}</span>
              </>
            ) : (
              <>
                <One value={duration(r.keeps, reader)} />
                <span className="figure-note">{r.keeps < r.wanted ? t.short : t.enough}</span>
              </>
            ),
        },
        {
          id: "needs",
          head: t.needs,
          isNumber: true,
          cell: (r) => <One value={octets(r.needed_octets, reader)} />,
        },
        {
          id: "has",
          head: t.has,
          isNumber: true,
          cell: (r) => <One value={r.has_octets === null ? null : octets(r.has_octets, reader)} />,
        },
      ]}
    />
  );
}
