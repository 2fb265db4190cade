/** Supplies over data cables: what each gives at most, what is drawn, and in which order its parts start. */

import { useId } from "react";
import { duration, number, quantity, together } from "../../document/format.ts";
import { poweredPorts, startLines } from "../../document/wireRows.ts";
import type { SupplyRow } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Nothing, Whole } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { LoadBar, LoadKey, LoadPatterns } from "./LoadBar.tsx";
import { isPart, type ScheduleProps } from "./schedule.ts";

const t = text.power.supply;
const s = text.power.start;

const wholeOf = (supplies: readonly SupplyRow[]): number =>
  1.02 *
  Math.max(1, ...supplies.flatMap(({ budget, worst_draw: d }) => [budget ?? 0, d.value ?? 0, d.high ?? 0]));

export function SupplySchedule(props: ScheduleProps) {
  const { answer, reader, selected, onSelect } = props;
  const prefix = `load${useId().replace(/\W/g, "")}`;
  const { supplies } = answer.wires;
  const whole = wholeOf(supplies);
  const ports = (supply: SupplyRow) => poweredPorts(answer, supply.supply);
  return (
    <>
      <Listing
        caption={text.power.partTitles.supplies}
        className="channel-table supply-table"
        lead={props.lead}
        first={{ id: "supply", name: t.supply, value: ({ supply }) => supply }}
        columns={[
          {
            id: "ports",
            name: t.ports,
            isNumber: true,
            value: (supply) => ports(supply).taken,
            cell: (supply) => {
              const { all, taken, class: given } = ports(supply);
              return (
                <>
                  <Known value={t.portsOf(number(taken, reader), number(all, reader))} />
                  {given !== null && (
                    <span className="figure-note">{text.cabling.ports.poeClass(number(given, reader))}</span>
                  )}
                </>
              );
            },
          },
          {
            id: "load",
            name: t.load,
            unit: "W",
            value: ({ worst_draw }) => worst_draw.value,
            cell: (supply) => <LoadBar supply={supply} whole={whole} prefix={prefix} reader={reader} />,
          },
          {
            id: "draw",
            name: t.draw,
            isNumber: true,
            unit: "W",
            value: ({ worst_draw }) => worst_draw.value,
            cell: ({ worst_draw }) => <Whole figure={worst_draw} reader={reader} />,
          },
          {
            id: "draw-low",
            name: `${t.draw}, ${t.low}`,
            unit: "W",
            isFileOnly: true,
            value: ({ worst_draw }) => worst_draw.low,
          },
          {
            id: "draw-high",
            name: `${t.draw}, ${t.high}`,
            unit: "W",
            isFileOnly: true,
            value: ({ worst_draw }) => worst_draw.high,
          },
          {
            id: "budget",
            name: t.budget,
            isNumber: true,
            unit: "W",
            value: ({ budget }) => budget,
            cell: ({ budget }) => (
              <Known
                value={budget === null ? null : together(quantity(budget, "W", reader))}
                none={t.noBudget}
              />
            ),
          },
          {
            id: "margin",
            name: t.margin,
            isNumber: true,
            unit: "W",
            value: ({ margin }) => margin.value,
            cell: ({ margin }) => <Whole figure={margin} reader={reader} />,
          },
          {
            id: "margin-low",
            name: `${t.margin}, ${t.low}`,
            unit: "W",
            isFileOnly: true,
            value: ({ margin }) => margin.low,
          },
          {
            id: "margin-high",
            name: `${t.margin}, ${t.high}`,
            unit: "W",
            isFileOnly: true,
            value: ({ margin }) => margin.high,
          },
          {
            id: "loss",
            name: t.loss,
            isNumber: true,
            isExtra: true,
            unit: "W",
            value: ({ own_loss }) => own_loss.value,
            cell: ({ own_loss }) => <Whole figure={own_loss} reader={reader} />,
          },
        ]}
        rows={supplies}
        idOf={({ supply }) => supply}
        nameOf={({ supply }) => partTag(supply)}
        isChosen={({ supply }) => isPart(selected, supply)}
        onChoose={({ supply }) => onSelect({ kind: "part", id: supply })}
        none={text.power.noSupply}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      {supplies.length > 0 && (
        <>
          <LoadPatterns prefix={prefix} />
          <LoadKey prefix={prefix} />
        </>
      )}
    </>
  );
}

export function StartSchedule(props: ScheduleProps) {
  const { answer, reader, selected, onSelect } = props;
  const watts = (value: number) => together(quantity(value, "W", reader));
  const { supplies } = answer.wires;
  return (
    <>
      <Listing
        caption={text.power.partTitles.start}
        lead={props.lead}
        first={{ id: "step", name: s.step, value: ({ supply, number: n }) => `${supply.supply}, ${n}` }}
        columns={[
          {
            id: "after",
            name: s.after,
            unit: "s",
            isNumber: true,
            value: ({ step }) => step.after,
            cell: ({ step }) => <Known value={duration(step.after, reader)} />,
          },
          {
            id: "parts",
            name: s.parts,
            value: ({ step }) => step.parts.map(partTag).join(", "),
          },
          {
            id: "peak",
            name: s.peak,
            unit: "W",
            isNumber: true,
            value: ({ step }) => step.peak,
            cell: ({ step }) => <Known value={watts(step.peak)} />,
          },
          {
            id: "budget",
            name: s.budget,
            unit: "W",
            isNumber: true,
            value: ({ supply }) => supply.budget,
            cell: ({ supply }) =>
              supply.budget === null ? <Nothing said={t.noBudget} /> : <Known value={watts(supply.budget)} />,
          },
          {
            id: "fits",
            name: s.fits,
            value: ({ supply, step }) => (step.peak <= (supply.budget ?? 0) ? s.yes : s.no),
            cell: ({ supply, step }) =>
              step.peak <= (supply.budget ?? 0) ? s.yes : <strong className="too-much">{s.no}</strong>,
          },
        ]}
        rows={startLines(answer)}
        idOf={({ supply, number: n }) => `${supply.supply} ${n}`}
        nameOf={({ supply, number: n }) => s.stepOf(partTag(supply.supply), number(n, reader))}
        isChosen={({ supply, step }) =>
          isPart(selected, supply.supply) || step.parts.some((part) => isPart(selected, part))
        }
        onChoose={({ supply }) => onSelect({ kind: "part", id: supply.supply })}
        none={s.none}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      {supplies.map(({ supply, start }) => (
        <p key={supply} className="schedule-note">
          {start.fits
            ? s.summary(partTag(supply), watts(start.together), start.steps.length)
            : s.noFit(partTag(supply), watts(start.together))}
        </p>
      ))}
    </>
  );
}
