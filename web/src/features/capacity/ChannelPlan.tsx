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
import { channelName, radioName } from "./words.ts";

const t = text.capacity.plan;

export function ChannelPlan({ answer, related, reader, onSelect }: ScheduleProps) {
  const { radios } = answer.radio_plan;
  if (radios.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const power = (dbm: number) => `${number(dbm, reader, 1)}\u00a0dBm`;
  return (
    <ScheduleTable
      caption={text.capacity.scheduleTitles.plan}
      className="plan-channels"
      head={t.radio}
      rows={radios}
      idOf={({ part, band }) => channelId(part, band)}
      nameOf={(radio) => radioName(radio)}
      isChosen={({ part, band }) => related.channels.has(channelId(part, band))}
      onChoose={({ part, band }) => onSelect({ kind: "channel", id: channelId(part, band) })}
      columns={[
        {
          id: "channel",
          head: t.channel,
          isNumber: true,
          cell: (radio) => (
            <>
              <span className="figure">{channelName(answer, radio, reader)}</span>
              <span className="figure-note">{megahertz(radio.width, reader)}</span>
            </>
          ),
        },
        {
          id: "power",
          head: t.power,
          isNumber: true,
          cell: ({ eirp, eirp_limit }) => (
            <>
              <span className="figure">{power(eirp)}</span>
              <span className="figure-note">
                {eirp_limit === null ? t.limitUnknown : t.limit(power(eirp_limit))}
              </span>
            </>
          ),
        },
        { id: "radar", head: t.radar, cell: ({ radar }) => (radar ? text.capacity.yes : text.capacity.no) },
        {
          id: "fallback",
          head: t.fallback,
          cell: ({ fallback, radar }) => {
            if (!fallback) return radar ? text.unknown : <Not said={t.notNeeded} />;
            if (fallback.channel === null) return t.fallbackNone;
            const { channel, width, eirp } = fallback;
            const rest = [
              ...(width === null ? [] : [megahertz(width, reader)]),
              ...(eirp === null ? [] : [power(eirp)]),
            ];
            return (
              <>
                {t.fallbackTo(String(channel))}
                <span className="under">{rest.join(", ")}</span>
              </>
            );
          },
        },
        {
          id: "silence",
          head: t.silence,
          isNumber: true,
          cell: ({ fallback }) =>
            fallback ? <One value={duration(fallback.silence, reader)} /> : <Not said={t.notNeeded} />,
        },
        {
          id: "why",
          head: t.why,
          cell: ({ fallback, rule }) => (
            <>
              {fallback && <Prose text={fallback.why} />}
              {rule && (
                <span className="under">
                  {t.rule}: {rule.cite}
                </span>
              )}
            </>
          ),
        },
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
  const {
    thing_channels: channels,
    thing_channel_now: now,
    thing_channel_advice: advice,
  } = answer.radio_plan;
  return (
    <section className="small-things" aria-labelledby="thing-channels">
      <div className="section-head">
        <h3 id="thing-channels">{t.things}</h3>
        {action}
      </div>
      <p className="quiet-line">
        {now === null ? t.nowUnknown : t.nowIs(String(now))} {advice && <Prose text={advice} />}
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
