/** What each radio is set to and where it goes when radar is heard; and channels for networks of small things. */

import type { ReactNode } from "react";
import { channelId } from "../../document/capacity.ts";
import { duration, megahertz, number, type Reader, share } from "../../document/format.ts";
import type { CapacityAnswer } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Prose } from "../../ui/Prose.tsx";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { Not, One } from "./Figures.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { radioName } from "./words.ts";

const t = text.capacity.plan;

export function ChannelPlan({ answer, related, reader, onSelect }: ScheduleProps) {
  const { channels } = answer.radio_plan;
  if (channels.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const power = (dbm: number) => `${number(dbm, reader, 1)}\u00a0dBm`;
  return (
    <ScheduleTable
      caption={text.capacity.scheduleTitles.plan}
      className="plan-channels"
      head={t.radio}
      rows={channels}
      idOf={({ part, band }) => channelId(part, band)}
      nameOf={(c) => radioName(c)}
      isChosen={({ part, band }) => related.channels.has(channelId(part, band))}
      onChoose={({ part, band }) => onSelect({ kind: "channel", id: channelId(part, band) })}
      columns={[
        { id: "channel", head: t.channel, isNumber: true, cell: (c) => <One value={String(c.channel)} /> },
        {
          id: "width",
          head: t.width,
          isNumber: true,
          cell: (c) => <One value={megahertz(c.width, reader)} />,
        },
        { id: "power", head: t.power, isNumber: true, cell: (c) => <One value={power(c.eirp)} /> },
        { id: "radar", head: t.radar, cell: (c) => (c.dfs ? text.capacity.yes : text.capacity.no) },
        {
          id: "fallback",
          head: t.fallback,
          cell: (c) => {
            const { fallback } = c;
            if (!fallback) return c.dfs ? t.fallbackNone : <Not said={t.notNeeded} />;
            return t.fallbackOf(
              String(fallback.channel),
              megahertz(fallback.width, reader),
              power(fallback.eirp),
            );
          },
        },
        {
          id: "silence",
          head: t.silence,
          isNumber: true,
          cell: (c) =>
            c.silence_s === null ? <Not said={t.notNeeded} /> : <One value={duration(c.silence_s, reader)} />,
        },
        { id: "why", head: t.why, cell: (c) => <Prose text={c.why} /> },
      ]}
    />
  );
}

interface ThingsProps {
  answer: CapacityAnswer;
  reader: Reader;
  action: ReactNode;
}

export function ThingChannels({ answer, reader, action }: ThingsProps) {
  const { thing_channels: channels, thing_channel_now: now } = answer.radio_plan;
  return (
    <section className="thing-channels" aria-labelledby="thing-channels">
      <div className="section-head">
        <h3 id="thing-channels">{t.things}</h3>
        {action}
      </div>
      <p className="quiet-line">
        {now === null ? t.nowUnknown : t.nowIs(String(now))} {t.thingsCost}
      </p>
      <ScheduleTable
        caption={t.things}
        head={t.thing}
        rows={channels}
        idOf={({ channel }) => String(channel)}
        nameOf={({ channel }) => <span className="figure">{channel}</span>}
        underOf={({ channel }) => (channel === now ? t.now : null)}
        isChosen={({ channel }) => channel === now}
        columns={[
          {
            id: "success",
            head: t.success,
            isNumber: true,
            cell: (c) => <One value={share(c.success, reader)} />,
          },
          { id: "clear", head: t.clear, cell: (c) => (c.clear ? text.capacity.yes : text.capacity.no) },
        ]}
      />
    </section>
  );
}
