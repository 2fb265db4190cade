/** Battery supplies: what hangs on each, how long it carries that new and old, and how a discharge goes. */

import { duration, number, quantity, together } from "../../document/format.ts";
import type { BatteryRow } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Measure } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { Discharge } from "./Discharge.tsx";
import { isPart, type ScheduleProps } from "./schedule.ts";

const t = text.power.battery;

export function BatterySchedule(props: ScheduleProps) {
  const { batteries, reader, selected, onSelect } = props;
  const time = (value: number | null): string | null => (value === null ? null : duration(value, reader));
  const rows = batteries ?? [];
  return (
    <>
      <Listing
        caption={text.power.partTitles.batteries}
        lead={props.lead}
        first={{ id: "supply", name: t.supply, value: ({ id }) => id }}
        columns={[
          {
            id: "load",
            name: t.load,
            unit: "W",
            isNumber: true,
            value: ({ load }) => load,
            cell: ({ load }) => <Measure value={load} unit="W" reader={reader} />,
          },
          {
            id: "drawn",
            name: t.drawn,
            unit: "W",
            isNumber: true,
            isExtra: true,
            value: ({ drawn }) => drawn,
            cell: ({ drawn }) => <Measure value={drawn} unit="W" reader={reader} />,
          },
          {
            id: "runtime",
            name: t.runtime,
            unit: "min",
            scale: 1 / 60,
            isNumber: true,
            value: ({ runtime }) => runtime,
            cell: ({ runtime, runtime_high, problem }) => (
              <>
                <Known value={time(runtime)} />
                {runtime_high !== null && (
                  <span className="figure-note">{t.atBest(time(runtime_high) ?? "")}</span>
                )}
                {problem !== null && <span className="figure-note">{problem}</span>}
              </>
            ),
          },
          {
            id: "runtime-old",
            name: t.runtimeOld,
            unit: "min",
            scale: 1 / 60,
            isNumber: true,
            value: ({ runtime_low }) => runtime_low,
            cell: ({ runtime_low }) => <Known value={time(runtime_low)} />,
          },
          {
            id: "runtime-best",
            name: t.runtimeHigh,
            unit: "min",
            scale: 1 / 60,
            isFileOnly: true,
            value: ({ runtime_high }) => runtime_high,
          },
          {
            id: "recharge",
            name: t.recharge,
            unit: "h",
            scale: 1 / 3600,
            isNumber: true,
            value: ({ recharge }) => recharge,
            cell: ({ recharge }) => <Known value={time(recharge)} />,
          },
          {
            id: "standby",
            name: t.standby,
            unit: "kWh",
            isNumber: true,
            value: ({ standby_kwh }) => standby_kwh,
            cell: ({ standby_kwh }) => <Measure value={standby_kwh} unit="kWh" reader={reader} />,
          },
          { id: "problem", name: t.problem, isFileOnly: true, value: ({ problem }) => problem },
        ]}
        rows={rows}
        idOf={({ id }) => id}
        nameOf={({ id }) => partTag(id)}
        isChosen={({ id }) => isPart(selected, id)}
        onChoose={({ id }) => onSelect({ kind: "part", id })}
        none={batteries === null ? t.unknown : t.none}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      <div className="discharges">
        {rows
          .filter(({ stages }) => stages.length > 0)
          .map((battery) => (
            <Discharge key={battery.id} battery={battery} reader={reader} />
          ))}
      </div>
    </>
  );
}

interface LoadLine {
  battery: BatteryRow;
  item: BatteryRow["items"][number];
}

export function LoadSchedule(props: ScheduleProps) {
  const { batteries, reader, selected, onSelect } = props;
  const rows = (batteries ?? []).flatMap((battery) =>
    battery.items.map((item): LoadLine => ({ battery, item })),
  );
  const parts = new Set(props.answer.design.parts.map(({ id }) => id));
  return (
    <Listing
      caption={text.power.partTitles.loads}
      lead={props.lead}
      first={{ id: "item", name: t.item, value: ({ item }) => item.id }}
      columns={[
        {
          id: "supply",
          name: t.supply,
          value: ({ battery }) => battery.id,
          cell: ({ battery }) => partTag(battery.id),
        },
        {
          id: "over",
          name: t.itemOver,
          value: ({ item }) => item.over,
          cell: ({ item }) =>
            item.over === null ? <span className="quiet">{t.itemDirect}</span> : partTag(item.over),
        },
        {
          id: "load",
          name: t.itemLoad,
          unit: "W",
          isNumber: true,
          value: ({ item }) => item.load,
          cell: ({ item }) => <Measure value={item.load} unit="W" reader={reader} />,
        },
        {
          id: "lost",
          name: t.itemLost,
          unit: "W",
          isNumber: true,
          value: ({ item }) => item.lost,
          cell: ({ item }) => <Measure value={item.lost} unit="W" reader={reader} />,
        },
        {
          id: "share",
          name: t.itemShare,
          unit: "%",
          scale: 100,
          isNumber: true,
          value: ({ item, battery }) => (battery.load > 0 ? item.load / battery.load : null),
          cell: ({ item, battery }) => (
            <Known
              value={
                battery.load > 0 ? together(quantity((100 * item.load) / battery.load, "%", reader)) : null
              }
            />
          ),
        },
      ]}
      rows={rows}
      idOf={({ battery, item }) => `${battery.id} ${item.id}`}
      nameOf={({ item }) => partTag(item.id)}
      isChosen={({ battery, item }) =>
        isPart(selected, battery.id) || isPart(selected, item.id) || selected?.id === item.id
      }
      onChoose={({ item }) => onSelect({ kind: parts.has(item.id) ? "part" : "device", id: item.id })}
      none={batteries === null ? t.unknown : t.noLoad(number(0, reader))}
      look={props.look}
      locale={reader.locale}
      onLook={props.onLook}
      onExport={props.onExport}
    />
  );
}
