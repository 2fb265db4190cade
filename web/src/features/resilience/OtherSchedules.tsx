/** Outages of mains and lines with their sources, batteries in short, and single changes by what they save. */

import type { ReactNode } from "react";
import { duration, number } from "../../document/format.ts";
import { sumText } from "../../document/money.ts";
import type { BatteryRow, HelpfulChange, OutageRow, OwnBatteryRow } from "../../engine/types.ts";
import { CauseGlyph } from "../../plan/CauseGlyph.tsx";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Nothing } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { ScheduleTable } from "../../ui/ScheduleTable.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import {
  kindName,
  minutesRange,
  minutesValue,
  type Known as Names,
  plainNumber,
  shapeOf,
  sourceText,
  thingName,
} from "./words.ts";

const t = text.resilience;
const hour = 3600;
const isLine = ({ kind }: OutageRow) => kind === "line" || kind === "line-backup";

export function OutageSchedule(props: ScheduleProps) {
  const { answer, known, isSelected, onThing } = props;
  const { reader, design } = known;
  return (
    <>
      <Listing<OutageRow>
        {...listed(props)}
        caption={t.partTitles.outages}
        className="outage-table"
        none={t.outages.none}
        first={{ id: "of", name: t.outages.of, value: (row) => thingName(row, known) }}
        rows={answer.staying.outages}
        idOf={(row) => `${row.kind} ${row.id}`}
        nameOf={(row) => (
          <>
            <CauseGlyph shape={shapeOf(row, design)} /> {thingName(row, known)}
          </>
        )}
        isChosen={isSelected}
        onChoose={onThing}
        columns={[
          { id: "kind", name: t.outages.kind, isFileOnly: true, value: (row) => kindName(row, design) },
          {
            id: "a-year",
            name: t.outages.aYear,
            isNumber: true,
            value: (row) => row.a_year,
            cell: (row) => <Known value={row.a_year === null ? null : plainNumber(row.a_year, 2, reader)} />,
          },
          {
            id: "mean",
            name: t.outages.mean,
            note: t.outages.meanUnit,
            unit: "min",
            scale: 1 / 60,
            isNumber: true,
            value: ({ mean }) => mean,
            cell: ({ mean }) => <Known value={mean === null ? null : plainNumber(mean / 60, 2, reader)} />,
          },
          {
            id: "minutes",
            name: t.outages.minutes,
            note: t.outages.minutesUnit,
            unit: "min/yr",
            isNumber: true,
            value: ({ minutes }) => minutes?.value ?? null,
            cell: ({ minutes }) => (
              <Known
                value={minutes && minutesValue(minutes, reader)}
                note={minutes && minutesRange(minutes, reader)}
              />
            ),
          },
          { id: "law", name: t.outages.law, value: ({ law }) => law },
          {
            id: "far-end",
            name: t.outages.farEnd,
            unit: "h",
            scale: 1 / hour,
            isNumber: true,
            value: (row) => row.far_end,
            cell: (row) =>
              isLine(row) ? (
                <Known
                  value={row.far_end === null ? null : `${number(row.far_end / hour, reader, 1)}\u00a0h`}
                  none={t.outages.farEndUnknown}
                />
              ) : (
                <Nothing said={t.outages.farEndNone} />
              ),
          },
          {
            id: "source",
            name: t.outages.source,
            value: ({ source }) => sourceText(source),
            cell: ({ source }) => <span className="source">{sourceText(source)}</span>,
          },
        ]}
      />
      <p className="schedule-note">{t.service.lawNote}</p>
    </>
  );
}

interface BatteryProps extends ScheduleProps {
  /** Leads to the power sheet, where there is one. */
  powerLink: ReactNode;
}

export function BatterySchedule({ powerLink, ...props }: BatteryProps) {
  const { answer, known, isSelected, onThing } = props;
  const { reader } = known;
  const hours = (seconds: number | null) =>
    seconds === null ? null : `${number(seconds / hour, reader, 1)}\u00a0h`;
  return (
    <>
      <Listing<BatteryRow>
        {...listed(props)}
        caption={t.partTitles.batteries}
        none={t.batteries.none}
        first={{ id: "battery", name: t.batteries.battery, value: ({ id }) => partTag(id) }}
        rows={answer.staying.batteries}
        idOf={({ id }) => id}
        nameOf={({ id }) => partTag(id)}
        isChosen={({ id }) => isSelected({ id, kind: "part" })}
        onChoose={({ id }) => onThing({ id, kind: "part" })}
        columns={[
          {
            id: "carries",
            name: t.batteries.carries,
            value: ({ items }) => items.map(({ id }) => partTag(id)).join(", "),
          },
          {
            id: "load",
            name: t.batteries.load,
            unit: "W",
            isNumber: true,
            value: ({ load }) => load,
            cell: ({ load }) => <Known value={`${number(load, reader, 1)}\u00a0W`} />,
          },
          {
            id: "drawn",
            name: t.batteries.drawn,
            unit: "W",
            isNumber: true,
            isExtra: true,
            value: ({ drawn }) => drawn,
            cell: ({ drawn }) => <Known value={`${number(drawn, reader, 1)}\u00a0W`} />,
          },
          {
            id: "runtime",
            name: t.batteries.runtime,
            unit: "h",
            scale: 1 / hour,
            isNumber: true,
            value: ({ runtime }) => runtime,
            cell: (row) => (
              <Known
                value={hours(row.runtime)}
                note={
                  row.runtime === null
                    ? row.problem
                    : row.runtime_low !== null && row.runtime_high !== null
                      ? t.between(hours(row.runtime_low) ?? "", hours(row.runtime_high) ?? "")
                      : null
                }
              />
            ),
          },
          {
            id: "low",
            name: t.batteries.low,
            unit: "h",
            scale: 1 / hour,
            isFileOnly: true,
            value: (row) => row.runtime_low,
          },
          {
            id: "high",
            name: t.batteries.high,
            unit: "h",
            scale: 1 / hour,
            isFileOnly: true,
            value: (row) => row.runtime_high,
          },
          {
            id: "recharge",
            name: t.batteries.recharge,
            unit: "h",
            scale: 1 / hour,
            isNumber: true,
            value: ({ recharge }) => recharge,
            cell: ({ recharge }) => <Known value={hours(recharge)} />,
          },
          {
            id: "standby",
            name: t.batteries.standby,
            note: t.batteries.standbyUnit,
            unit: "kWh/yr",
            isNumber: true,
            value: (row) => row.standby_kwh,
            cell: (row) => <Known value={number(row.standby_kwh, reader)} />,
          },
          { id: "problem", name: t.batteries.problem, isFileOnly: true, value: ({ problem }) => problem },
        ]}
      />
      {powerLink && answer.staying.batteries.length > 0 && <p className="schedule-note">{powerLink}</p>}
      {answer.staying.own_batteries.length > 0 && (
        <section className="own-batteries" aria-labelledby="own-batteries">
          <h3 id="own-batteries">{t.batteries.own}</h3>
          <ScheduleTable<OwnBatteryRow>
            caption={t.batteries.own}
            head={t.batteries.device}
            rows={answer.staying.own_batteries}
            idOf={({ device }) => device}
            nameOf={({ device }) => partTag(device)}
            isChosen={({ device }) => isSelected({ id: device, kind: "device" })}
            onChoose={({ device }) => onThing({ id: device, kind: "device" })}
            columns={[
              {
                id: "runtime",
                head: t.batteries.ownRuntime,
                isNumber: true,
                cell: ({ runtime }) => <Known value={hours(runtime)} />,
              },
              {
                id: "figures",
                head: t.batteries.ownFigures,
                cell: (row) => (row.is_generic ? t.batteries.generic : t.batteries.stated),
              },
            ]}
          />
        </section>
      )}
    </>
  );
}

/** A change in words. */
function changeText({ change }: HelpfulChange, { reader }: Names): string {
  const words = t.changes.what;
  switch (change.change) {
    case "battery":
      return words.battery(change.supply, change.feeds.map(partTag).join(", "));
    case "on-battery":
      return words["on-battery"](partTag(change.part), partTag(change.supply));
    case "patch":
      return words.patch(partTag(change.device), partTag(change.into));
    case "spare":
      return words.spare(partTag(change.part), duration(change.mttr, reader));
    case "second-line":
      return words["second-line"](text.newHome.line[change.line.kind].toLowerCase());
    case "second-access-point":
      return words["second-access-point"](partTag(change.beside));
  }
}

export function ChangeSchedule({ currency, ...props }: ScheduleProps & { currency: string }) {
  const { answer, known } = props;
  const { reader } = known;
  // Savings that are none but for noise are none.
  const rough = (value: number | null) =>
    value === null ? null : Math.abs(value) < 0.005 ? t.changes.nothing : plainNumber(value, 2, reader);
  return (
    <>
      <Listing<HelpfulChange>
        {...listed(props)}
        caption={t.partTitles.changes}
        none={t.changes.none}
        first={{ id: "change", name: t.changes.change, value: (row) => changeText(row, known) }}
        rows={answer.changes}
        idOf={({ change }) => change.id}
        nameOf={(row) => changeText(row, known)}
        underOf={({ saves }) => saves.problem}
        columns={[
          {
            id: "per-unit",
            name: t.changes.perUnit,
            note: t.changes.perUnitUnit(currency),
            unit: `min/yr/${currency}`,
            isNumber: true,
            value: ({ saves }) => saves.work_minutes_per_unit,
            cell: ({ saves: { work_minutes_per_unit: value } }) => (
              // What costs nothing and saves something has no bound.
              <Known value={value !== null && value > 1e300 ? t.changes.free : rough(value)} />
            ),
          },
          {
            id: "work",
            name: t.changes.work,
            note: t.changes.workUnit,
            unit: "min/yr",
            isNumber: true,
            value: ({ saves }) => saves.work_minutes,
            cell: ({ saves }) => <Known value={rough(saves.work_minutes)} />,
          },
          {
            id: "other",
            name: t.changes.other,
            note: t.changes.workUnit,
            unit: "min/yr",
            isNumber: true,
            value: ({ saves }) => saves.other_minutes,
            cell: ({ saves }) => <Known value={rough(saves.other_minutes)} />,
          },
          {
            id: "price",
            name: t.changes.price,
            unit: currency,
            isNumber: true,
            value: ({ change }) => change.price,
            cell: ({ change: { price } }) => (
              <Known
                value={price === null ? null : sumText({ amount: price, currency, digits: 2 }, reader)}
                none={text.cost.missingWord}
              />
            ),
          },
          { id: "problem", name: t.changes.problem, isFileOnly: true, value: ({ saves }) => saves.problem },
        ]}
      />
      <p className="schedule-note">{t.changes.note}</p>
    </>
  );
}
