/** The headline in the margin: which supply has least in hand, how long batteries carry, and what feeds what is selected. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import { duration, number, quantity, type Reader, together } from "../../document/format.ts";
import { fedLines, feedLines, labelOf, tightest } from "../../document/wireRows.ts";
import type { BatteryRow, CablingAnswer, Figure, House, Source, SupplyRow } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { FigureInterval, FigureValue } from "../../ui/FigureText.tsx";

const t = text.power;

interface Props {
  answer: CablingAnswer;
  batteries: readonly BatteryRow[] | null;
  house: House;
  selected: Selected | null;
  staleNote: string | null;
  reader: Reader;
  onClear(): void;
}

export function headline(supplies: readonly SupplyRow[], reader: Reader): string {
  const [first] = supplies;
  if (!first) return t.noSupply;
  const tight = tightest(supplies);
  if (!tight || tight.budget === null) return t.unknownMargin(partTag(first.supply));
  const margin = tight.margin.low ?? tight.margin.value ?? 0;
  const watts = (value: number): string => together(quantity(value, "W", reader));
  const say = margin < 0 ? t.over : t.tight;
  return say(partTag(tight.supply), watts(Math.abs(margin)), watts(tight.budget));
}

export function PowerPanel(props: Props) {
  const { answer, batteries, staleNote, reader } = props;
  const { supplies } = answer.wires;
  const fed = supplies.reduce((sum, supply) => sum + supply.fed.length, 0);
  const sources = new Map<string, Source>(
    supplies
      .flatMap(({ worst_draw, own_loss, fed: parts }) => [
        ...worst_draw.sources,
        ...own_loss.sources,
        ...parts.flatMap(({ voltage }) => voltage.sources),
      ])
      .concat(answer.wires.bundles.flatMap(({ rise }) => rise.sources))
      .map((source) => [source.cite, source]),
  );
  return (
    <>
      <section className="details" aria-labelledby="power-title">
        <h2 id="power-title" className="margin-title">
          {t.title}
        </h2>
        {staleNote && <p className="capacity-stale">{staleNote}</p>}
        <p className="probe-verdict">{headline(supplies, reader)}</p>
        <dl className="lines">
          <div>
            <dt>{t.supplies}</dt>
            <dd className="figure">{number(supplies.length, reader)}</dd>
          </div>
          <div>
            <dt>{t.feedsThem}</dt>
            <dd className="figure">{number(fed, reader)}</dd>
          </div>
          {batteries?.map(({ id, runtime, runtime_low }) => (
            <div key={id}>
              <dt>{t.runtime(partTag(id))}</dt>
              <dd>
                <span className={runtime === null ? "figure unknown" : "figure"}>
                  {runtime === null ? text.unknown : duration(runtime, reader)}
                </span>
                {runtime_low !== null && (
                  <span className="figure-note">{t.whenOld(duration(runtime_low, reader))}</span>
                )}
              </dd>
            </div>
          ))}
        </dl>
        {sources.size > 0 && (
          <details className="probe-sources">
            <summary>{text.capacity.sources}</summary>
            <ul className="plain-list">
              {[...sources.values()].map(({ cite, from_memory }) => (
                <li key={cite}>
                  {cite}
                  {from_memory ? `, ${text.keynotes.fromMemory}` : ""}
                </li>
              ))}
            </ul>
          </details>
        )}
      </section>
      <SelectedPart {...props} />
    </>
  );
}

type Line = [label: string, value: ReactNode];

function SelectedPart(props: Props) {
  const { selected, reader, onClear } = props;
  if (selected?.kind !== "part") return null;
  const lines = describe(props, selected.id, reader);
  if (lines.length === 0) return null;
  return (
    <section className="details" aria-labelledby="power-selected">
      <div className="details-head">
        <h2 id="power-selected" className="margin-title">
          {partTag(selected.id)}
        </h2>
        <button type="button" className="button quiet" onClick={onClear}>
          {text.cabling.clear}
        </button>
      </div>
      <dl className="lines">
        {lines.map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function describe({ answer, batteries, house }: Props, part: string, reader: Reader): Line[] {
  const lines: Line[] = [];
  const watts = (value: number): string => together(quantity(value, "W", reader));
  const figure = (of: Figure): ReactNode => (
    <>
      <FigureValue figure={of} reader={reader} />
      <FigureInterval figure={of} reader={reader} />
    </>
  );
  for (const { from, source } of feedLines(answer, house).filter((line) => line.part === part)) {
    const what = from === "mains" && source === null ? t.feeds.mainsNone : t.feeds[from];
    lines.push([
      `${t.feeds.from}, ${t.feeds[from]}`,
      source === null ? what : from === "mains" ? source : partTag(source),
    ]);
  }
  const fed = fedLines(answer).find((line) => line.fed.part === part);
  if (fed) {
    lines.push([t.fed.cables, fed.links.map((link) => labelOf(answer, link)).join(", ") || t.fed.noCable]);
    lines.push([t.fed.draw, watts(fed.fed.draw)]);
    lines.push([t.fed.atPort, figure(fed.fed.at_port)]);
    lines.push([t.fed.voltage, figure(fed.fed.voltage)]);
    if (fed.fed.least_voltage !== null) {
      lines.push([t.fed.least, together(quantity(fed.fed.least_voltage, "V", reader))]);
    }
  }
  const supply = answer.wires.supplies.find((row) => row.supply === part);
  if (supply) {
    lines.push([t.supply.draw, figure(supply.worst_draw)]);
    lines.push([t.supply.budget, supply.budget === null ? t.supply.noBudget : watts(supply.budget)]);
    lines.push([t.supply.margin, figure(supply.margin)]);
  }
  const battery = batteries?.find(({ id }) => id === part);
  if (battery) {
    lines.push([t.battery.load, watts(battery.load)]);
    lines.push([
      t.battery.runtime,
      battery.runtime === null ? (battery.problem ?? text.unknown) : duration(battery.runtime, reader),
    ]);
    if (battery.runtime_low !== null) {
      lines.push([t.battery.runtimeOld, duration(battery.runtime_low, reader)]);
    }
  }
  return lines;
}
