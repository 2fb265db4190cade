/** The headline in the margin: how much is laid, how good it is proven to be, and what is known of what is selected. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import { number, quantity, type Reader, share, smallLength, together } from "../../document/format.ts";
import { cableLines, holeLines, labelOf } from "../../document/wireRows.ts";
import { gapShare, lengthOf, notLaid } from "../../document/wiring.ts";
import type { CablingAnswer, Caution, Figure, House, Source } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { FigureInterval, FigureValue } from "../../ui/FigureText.tsx";
import { whereText } from "./HoleSchedule.tsx";
import { far, labelsText, wayName } from "./words.ts";

const t = text.cabling;

interface Props {
  answer: CablingAnswer;
  house: House;
  /** The design's own figure of what is installed. */
  length: Figure | null;
  /** Null while they are not known. */
  cautions: readonly Caution[] | null;
  selected: Selected | null;
  staleNote: string | null;
  reader: Reader;
  onClear(): void;
}

type Line = [label: string, value: ReactNode];

export function CablingPanel(props: Props) {
  const { answer, staleNote, reader, cautions } = props;
  const { wiring, wires } = answer;
  const missing = notLaid(answer);
  const existing = wiring.routes.filter((route) => route.existing).length;
  const sealed = wiring.holes.filter((hole) => hole.fire_seal).length;
  const gap = gapShare(wiring.gap);
  const count = (value: number) => number(value, reader);
  const sources = sourcesOf(answer);
  return (
    <>
      <section className="details" aria-labelledby="cabling-title">
        <h2 id="cabling-title" className="margin-title">
          {t.title} <span className="quiet">{t.laid(wiring.routes.length)}</span>
        </h2>
        {staleNote && <p className="capacity-stale">{staleNote}</p>}
        <dl className="lines">
          {missing.length > 0 && (
            <div>
              <dt>{t.notLaid}</dt>
              <dd className="wires-missing">{t.notLaidOf(missing.length, labelsText(answer, missing))}</dd>
            </div>
          )}
          <div>
            <dt>{t.length}</dt>
            <dd>
              <FigureValue figure={props.length} reader={reader} />
              <FigureInterval figure={props.length} reader={reader} />
            </dd>
          </div>
          {existing > 0 && (
            <div>
              <dt>{t.existing}</dt>
              <dd className="figure">{count(existing)}</dd>
            </div>
          )}
          <div>
            <dt>{t.holes}</dt>
            <dd className="figure">{t.holesOf(count(wiring.holes.length), count(sealed))}</dd>
          </div>
          <div>
            <dt title={t.gapMeaning}>{t.gap}</dt>
            <dd>
              <span className={gap === null ? "figure unknown" : "figure"}>
                {gap === null ? t.gapNone : t.gapUnder(share(gap, reader, gap < 0.001 ? 2 : 1))}
              </span>
              {wiring.gap && (
                <span className="figure-note">
                  {t.gapNote(
                    number(wiring.gap.found, reader, 1),
                    number(wiring.gap.bound, reader, 1),
                    wiring.gap.figure,
                  )}
                </span>
              )}
            </dd>
          </div>
          <div>
            <dt>{t.graph}</dt>
            <dd className="figure-note">{t.graphOf(count(wiring.graph_places), count(wiring.graph_ways))}</dd>
          </div>
        </dl>
        {wires.notes.length > 0 && (
          <ul className="plain-list quiet-line">
            {wires.notes.map((note) => (
              <li key={note}>{note}</li>
            ))}
          </ul>
        )}
        {(wiring.gap || sources.length > 0) && (
          <details className="probe-sources">
            <summary>{t.sources}</summary>
            <ul className="plain-list">
              {wiring.gap && <li>{t.method(wiring.gap.method)}</li>}
              {sources.map(({ cite, from_memory }) => (
                <li key={cite}>
                  {cite}
                  {from_memory ? `, ${text.keynotes.fromMemory}` : ""}
                </li>
              ))}
            </ul>
          </details>
        )}
      </section>
      <SelectedWire {...props} />
      {cautions !== null && (
        <section className="details" aria-labelledby="cabling-cautions">
          <h2 id="cabling-cautions" className="margin-title">
            {t.cautions}
          </h2>
          <p className="quiet-line">{cautions.length > 0 ? t.cautionsFirst : t.cautionsNone}</p>
          <dl className="lines stacked cautions">
            {cautions.map((caution) => (
              <div key={caution.work}>
                <dt>{caution.work}</dt>
                <dd>{caution.text}</dd>
              </div>
            ))}
          </dl>
        </section>
      )}
    </>
  );
}

/** Where the limits and models of the cables come from, each once. */
function sourcesOf({ wires, wiring }: CablingAnswer): Source[] {
  const figures = [
    ...wiring.routes.map((route) => route.length),
    ...wires.cables.flatMap((row) => [row.loss_margin, row.loop_resistance, row.delay, row.most_cord]),
    ...wires.panels.flatMap((panel) => [panel.heat, panel.rise]),
  ];
  const byCite = new Map<string, Source>();
  for (const source of figures.flatMap((figure) => figure.sources)) byCite.set(source.cite, source);
  return [...byCite.values()];
}

function SelectedWire(props: Props) {
  const content = describe(props);
  if (!content) return null;
  return (
    <section className="details" aria-labelledby="cabling-selected">
      <div className="details-head">
        <h2 id="cabling-selected" className="margin-title">
          {content.title}
        </h2>
        <button type="button" className="button quiet" onClick={props.onClear}>
          {t.clear}
        </button>
      </div>
      <dl className="lines">
        {content.lines.map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {content.more}
    </section>
  );
}

function describe({
  answer,
  house,
  selected,
  reader,
}: Props): { title: string; lines: Line[]; more?: ReactNode } | null {
  if (selected?.kind === "hole") {
    const line = holeLines(answer, house).find(({ hole }) => hole.id === selected.id);
    if (!line) return null;
    const { hole, storey } = line;
    return {
      title: hole.id,
      lines: [
        [t.holesTable.where, whereText(line)],
        [t.holesTable.storey, storey ?? text.unknown],
        [t.holesTable.through, `${t.holeKinds[hole.kind]}, ${hole.element}`],
        [t.holesTable.depth, smallLength(hole.depth, reader)],
        [t.holesTable.diameter, smallLength(hole.diameter, reader)],
        [t.holesTable.seal, hole.fire_seal ? t.holesTable.sealNeeded : t.holesTable.sealNone],
        [t.holesTable.cables, labelsText(answer, hole.links)],
      ],
    };
  }
  if (selected?.kind !== "cable") return null;
  const line = cableLines(answer).find(({ row }) => row.link === selected.id);
  if (!line) return null;
  const { row, route, from, to, length, isCord, holes } = line;
  const show = (value: number | null, unit: string): string =>
    value === null ? text.unknown : together(quantity(value, unit, reader));
  const figure = (of: Figure): ReactNode => (
    <>
      <FigureValue figure={of} reader={reader} />
      <FigureInterval figure={of} reader={reader} />
    </>
  );
  return {
    title: isCord ? t.cordOf(labelOf(answer, row.link)) : t.cable(labelOf(answer, row.link)),
    lines: [
      [t.cables.from, partTag(from)],
      [t.cables.to, partTag(to)],
      [t.cables.kind, row.category || row.cable || t.cord],
      ...(isCord
        ? []
        : ([
            [t.cables.length, figure(length)],
            [t.cables.mostCord, figure(row.most_cord)],
          ] satisfies Line[])),
      [t.cables.fastest, row.fastest ?? t.cables.noRate],
      [t.cables.skew, figure(row.skew)],
      [t.cables.radius, show(row.bend_radius_mm, "mm")],
      [t.cables.pull, show(row.most_pull_n, "N")],
    ],
    more: route ? (
      <>
        <h3 className="margin-sub">{t.wayOf}</h3>
        <ol className="way-list">
          {stepsOf(route.stretches).map(({ id, way, element, metres }) => (
            <li key={id}>
              {wayName(way)}
              {element && <span className="quiet">{` ${element}`}</span>}
              <span className="figure">{far(metres, reader)}</span>
            </li>
          ))}
        </ol>
        {holes.length > 0 && (
          <p className="quiet-line">{t.through(holes.map((hole) => hole.id).join(", "))}</p>
        )}
      </>
    ) : undefined,
  };
}

/** The way in steps: what follows in the same kind of way and the same element is one. */
function stepsOf(stretches: NonNullable<ReturnType<typeof cableLines>[number]["route"]>["stretches"]) {
  const steps: {
    id: number;
    way: (typeof stretches)[number]["way"];
    element: string | null;
    metres: number;
  }[] = [];
  for (const stretch of stretches) {
    const last = steps.at(-1);
    const metres = lengthOf(stretch);
    if (last && last.way === stretch.way && last.element === stretch.element) last.metres += metres;
    else steps.push({ id: steps.length, way: stretch.way, element: stretch.element, metres });
  }
  return steps;
}
