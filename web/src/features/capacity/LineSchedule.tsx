/** The line: how much of it is in use, how long packets wait before it with either queue, and what service suffices. */

import { milliseconds, rate, share } from "../../document/format.ts";
import type { Spread } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { lineWays } from "./exports.ts";
import { Head, One, Two } from "./Figures.tsx";
import type { ScheduleProps } from "./schedule.ts";

const t = text.capacity.line;

export function LineSchedule({ answer, related, reader, onSelect }: ScheduleProps) {
  const { line } = answer.capacity;
  if (!line) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const percent = (value: number) => share(value, reader);
  const wait = (spread: Spread) => (
    <Two spread={spread} show={(value) => `${milliseconds(value, reader)}\u00a0ms`} none={text.unknown} />
  );
  const waitHead = (kind: "plain" | "fair", name: string) =>
    line.queue.kind === kind ? <Head name={name} unit={t.asDesigned} /> : name;
  return (
    <>
      <ScheduleTable
        caption={text.capacity.scheduleTitles.line}
        head={t.way}
        rows={lineWays(line)}
        idOf={({ way }) => way}
        nameOf={({ way }) => t[way]}
        isChosen={() => related.line}
        onChoose={() => onSelect({ kind: "line", id: line.line })}
        columns={[
          { id: "rate", head: t.rate, isNumber: true, cell: (way) => <One value={rate(way.rate, reader)} /> },
          {
            id: "taken",
            head: t.taken,
            isNumber: true,
            cell: (way) => <Two spread={way.taken} show={percent} none={text.unknown} />,
          },
          {
            id: "limit",
            head: t.limit,
            isNumber: true,
            cell: () => <One value={share(line.limit, reader, 0)} />,
          },
          {
            id: "plain",
            head: waitHead("plain", t.waitPlain),
            isNumber: true,
            cell: (way) => wait(way.plain),
          },
          { id: "fair", head: waitHead("fair", t.waitFair), isNumber: true, cell: (way) => wait(way.fair) },
          {
            id: "suffices",
            head: t.suffices,
            isNumber: true,
            cell: (way) => (
              <One value={way.suffices === null ? null : rate(way.suffices, reader)} none={t.sufficesNone} />
            ),
          },
        ]}
      />
      <p className="schedule-note">
        {line.queue.kind === "fair" ? t.queue.fair(share(line.queue.share, reader, 0)) : t.queue.plain}{" "}
        {t.waitMeaning} {t.sufficesMeaning}
      </p>
      <p className="schedule-note">{text.capacity.twoFigures}</p>
    </>
  );
}
