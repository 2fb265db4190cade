/** One row for each radio: whose frames take its channel's time, and how much of it is left. */

import { useId } from "react";
import { channelId } from "../../document/capacity.ts";
import { megahertz, number, share } from "../../document/format.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { TimeBar, TimeKey, TimePatterns } from "./TimeBar.tsx";
import { channelName, radioName } from "./words.ts";

const t = text.capacity.channels;

export function ChannelSchedule({ answer, related, reader, onSelect }: ScheduleProps) {
  const prefix = `time${useId().replace(/\W/g, "")}`;
  const { channels } = answer.capacity;
  if (channels.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  return (
    <>
      <TimePatterns prefix={prefix} />
      <ScheduleTable
        caption={text.capacity.scheduleTitles.channels}
        className="channel-table"
        head={t.radio}
        rows={channels}
        idOf={({ part, band }) => channelId(part, band)}
        nameOf={(c) => radioName(c)}
        underOf={(c) =>
          c.shared_with.length > 0 ? `${t.shared} ${c.shared_with.map(partTag).join(", ")}` : null
        }
        isChosen={({ part, band }) => related.channels.has(channelId(part, band))}
        onChoose={({ part, band }) => onSelect({ kind: "channel", id: channelId(part, band) })}
        columns={[
          {
            id: "channel",
            head: t.channel,
            isNumber: true,
            cell: (c) => (
              <>
                <span className="figure">{channelName(answer, c, reader)}</span>
                <span className="figure-note">{megahertz(c.width, reader)}</span>
              </>
            ),
          },
          {
            id: "devices",
            head: t.devices,
            isNumber: true,
            cell: (c) => <span className="figure">{number(c.devices, reader)}</span>,
          },
          {
            id: "time",
            head: t.time,
            cell: (c) => <TimeBar channel={c} prefix={prefix} reader={reader} />,
          },
          {
            id: "median",
            head: t.busy,
            isNumber: true,
            cell: (c) => <span className="figure">{share(c.busy.median, reader)}</span>,
          },
          {
            id: "poor",
            head: t.busyPoor,
            isNumber: true,
            cell: (c) => (
              <>
                <span className="figure">{share(c.busy.poor, reader)}</span>
                <span className="figure-note">
                  {t.limit} {share(c.limit, reader, 0)}
                </span>
              </>
            ),
          },
          {
            id: "overloaded",
            head: t.overloaded,
            isNumber: true,
            cell: (c) => <span className="figure">{share(c.overloaded, reader)}</span>,
          },
        ]}
      />
      <TimeKey prefix={prefix} />
    </>
  );
}
