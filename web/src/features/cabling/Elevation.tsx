/** A panel or rack seen from the front: what stands where, how warm each is, and what is free. */

import { useId } from "react";
import { number, quantity, type Reader, together } from "../../document/format.ts";
import type { PanelRow } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { FigureInterval, FigureValue } from "../../ui/FigureText.tsx";

const t = text.cabling.panel;

/** Height of a unit, width of the frame with its rails, and of the numbers beside it [px]. */
const UNIT = 24;
const WIDTH = 250;
const RAIL = 12;
const NUMBERS = 26;

interface Props {
  panel: PanelRow;
  room: string;
  chosen: string | null;
  reader: Reader;
  onChoose(part: string): void;
}

export function Elevation({ panel, room, chosen, reader, onChoose }: Props) {
  const title = useId();
  const watts = (value: number): string => together(quantity(value, "W", reader));
  const standing = panel.rows.filter(({ height }) => height > 0);
  const beside = panel.rows.filter(({ height }) => height === 0);
  // What does not fit is drawn all the same, below the frame.
  const units = Math.max(panel.units, panel.units_used);
  const said = standing.map(({ unit, part, heat_w }) =>
    t.place(number(unit, reader), partTag(part), watts(heat_w)),
  );
  const name = t.titleOf(room);
  const heat = reader.units === "feet-inches" ? panel.heat_btu_h : panel.heat;
  return (
    <section className="elevation" aria-labelledby={title}>
      <h3 id={title}>{name}</h3>
      <svg
        width={NUMBERS + WIDTH + 2}
        height={units * UNIT + 4}
        role="img"
        aria-label={t.elevation(name, said.join("; ") || t.empty)}
      >
        <g transform={`translate(${NUMBERS} 2)`}>
          <rect className="elevation-frame" width={WIDTH} height={panel.units * UNIT} />
          <path
            className="elevation-rail"
            d={`M${RAIL},0V${units * UNIT}M${WIDTH - RAIL},0V${units * UNIT}`}
          />
          {Array.from({ length: units }, (_, i) => i + 1).map((unit) => (
            <g key={unit} transform={`translate(0 ${(unit - 1) * UNIT})`}>
              <path
                className="elevation-hole"
                d={`M${RAIL / 2},7h0M${RAIL / 2},17h0M${WIDTH - RAIL / 2},7h0M${WIDTH - RAIL / 2},17h0`}
              />
              <text className="elevation-number" x="-7" y={UNIT / 2 + 4}>
                {unit}
              </text>
            </g>
          ))}
          {standing.map(({ unit, height, part, heat_w }) => {
            const isOver = unit + height - 1 > panel.units;
            return (
              <g
                key={part}
                className={chosen === part ? "elevation-place chosen" : "elevation-place"}
                transform={`translate(0 ${(unit - 1) * UNIT})`}
              >
                <rect
                  className={isOver ? "elevation-box over" : "elevation-box"}
                  x="1.5"
                  y="1.5"
                  width={WIDTH - 3}
                  height={height * UNIT - 3}
                />
                <text className="elevation-name" x={RAIL + 8} y={(height * UNIT) / 2 + 4}>
                  {partTag(part)}
                </text>
                <text className="elevation-heat" x={WIDTH - RAIL - 8} y={(height * UNIT) / 2 + 4}>
                  {watts(heat_w)}
                </text>
              </g>
            );
          })}
          {panel.units > panel.units_used && (
            <text
              className="elevation-free"
              x={WIDTH / 2}
              y={((panel.units + panel.units_used) / 2) * UNIT + 4}
            >
              {`${t.free}, ${t.units(number(panel.units - panel.units_used, reader))}`}
            </text>
          )}
        </g>
      </svg>
      {beside.length > 0 && (
        <p className="quiet-line">
          {`${t.beside}: ${beside.map(({ part, heat_w }) => `${partTag(part)}, ${watts(heat_w)}`).join("; ")}`}
        </p>
      )}
      {panel.panel !== null && (
        <button
          type="button"
          className="row-choice"
          aria-pressed={chosen === panel.panel}
          onClick={() => panel.panel !== null && onChoose(panel.panel)}
        >
          {text.cabling.showOnPlan(partTag(panel.panel))}
        </button>
      )}
      <dl className="lines">
        <div>
          <dt>{t.used}</dt>
          <dd className="figure">
            {t.usedOf(number(panel.units_used, reader), number(panel.units, reader))}
          </dd>
        </div>
        <div>
          <dt>{t.ports}</dt>
          <dd className="figure">
            {t.portsOf(number(panel.ports_used, reader), number(panel.ports, reader))}
          </dd>
        </div>
        <div>
          <dt>{t.heat}</dt>
          <dd>
            <FigureValue figure={heat} reader={reader} />
            <FigureInterval figure={heat} reader={reader} />
          </dd>
        </div>
        <div>
          <dt>{t.rise}</dt>
          <dd>
            <FigureValue figure={panel.rise} reader={reader} />
            <FigureInterval figure={panel.rise} reader={reader} />
          </dd>
        </div>
        <div>
          <dt>{t.plugs}</dt>
          <dd className="figure">{number(panel.plugs, reader)}</dd>
        </div>
        <div>
          <dt>{t.outlets}</dt>
          <dd>
            <span className="figure">{number(panel.duplex_outlets, reader)}</span>
            <span className="figure-note">{t.outletsWith}</span>
          </dd>
        </div>
      </dl>
    </section>
  );
}
