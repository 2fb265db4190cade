/** Which access point each device joins, how much better that is than the next, and what the device takes of its time. */

import type { ReactNode } from "react";
import { channelId } from "../../document/capacity.ts";
import { quantity, type Reader, share, together } from "../../document/format.ts";
import type { CapacityAnswer } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { Not, One, Two } from "./Figures.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { radioName } from "./words.ts";

const t = text.capacity.devices;

export function DeviceSchedule({ answer, related, reader, onSelect }: ScheduleProps) {
  const { joins } = answer;
  if (joins.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const show = (value: number | null, unit: string) =>
    value === null ? null : together(quantity(value, unit, reader));
  return (
    <>
      <ScheduleTable
        caption={text.capacity.scheduleTitles.devices}
        head={t.device}
        rows={joins}
        idOf={({ device }) => device}
        nameOf={({ device }) => partTag(device)}
        underOf={({ device_kind }) => text.deviceKinds[device_kind] ?? device_kind}
        isChosen={({ device, part, band }) =>
          related.devices.has(device) || (part && band ? related.served.has(channelId(part, band)) : false)
        }
        onChoose={({ device }) => onSelect({ kind: "device", id: device })}
        columns={[
          {
            id: "joins",
            head: t.joins,
            cell: ({ part, band }) =>
              part === null ? t.joinsNone : band === null ? partTag(part) : radioName({ part, band }),
          },
          {
            id: "airtime",
            head: t.airtime,
            isNumber: true,
            cell: ({ airtime }) => (
              <Two spread={airtime} show={(value) => share(value, reader)} none={text.unknown} />
            ),
          },
          { id: "level", head: t.level, isNumber: true, cell: (j) => <One value={show(j.level, "dBm")} /> },
          {
            id: "next",
            head: t.next,
            cell: ({ next }) => (next === null ? <Not said={t.nextNone} /> : partTag(next)),
          },
          {
            id: "margin",
            head: t.margin,
            isNumber: true,
            cell: (j) => (j.next === null ? <Not said={t.nextNone} /> : <One value={show(j.margin, "dB")} />),
          },
          {
            id: "elsewhere",
            head: t.stays,
            isNumber: true,
            cell: (j) =>
              j.next === null ? (
                <Not said={t.nextNone} />
              ) : (
                <One value={j.stays === null ? null : share(j.stays, reader)} />
              ),
          },
        ]}
      />
      <p className="schedule-note">
        {text.capacity.twoFigures} {t.note}
      </p>
    </>
  );
}

interface HubsProps {
  answer: CapacityAnswer;
  reader: Reader;
  action: ReactNode;
  isChosen(device: string): boolean;
  onChoose(device: string): void;
}

export function HubLinks({ answer, reader, action, isChosen, onChoose }: HubsProps) {
  const decibels = (value: number) => together(quantity(value, "dB", reader));
  return (
    <section className="small-things" aria-labelledby="hub-links">
      <div className="section-head">
        <h3 id="hub-links">{t.hubs}</h3>
        {action}
      </div>
      <ScheduleTable
        caption={t.hubs}
        head={t.device}
        rows={answer.things}
        idOf={({ network, device }) => `${network} ${device}`}
        nameOf={({ device }) => partTag(device)}
        underOf={({ network, radio }) => `${network}, ${t.radio[radio] ?? radio}`}
        isChosen={({ device }) => isChosen(device)}
        onChoose={({ device }) => onChoose(device)}
        columns={[
          { id: "gain", head: t.gain, isNumber: true, cell: (l) => <One value={decibels(l.gain)} /> },
          { id: "margin", head: t.inHand, isNumber: true, cell: (l) => <One value={decibels(l.margin)} /> },
          {
            id: "reliability",
            head: t.reliability,
            isNumber: true,
            cell: (l) => <One value={share(l.reliability, reader)} />,
          },
        ]}
      />
    </section>
  );
}
