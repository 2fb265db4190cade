// The strip below the drawing: scale bar, scale, north, the map's key, and what the reader must know.

import { fixed } from "../geometry/format.ts";
import {
  METRES_PER_FOOT,
  paperFor,
  scaleBar,
  scaleName,
  scaleNumber,
  type UnitSystem,
} from "../geometry/scale.ts";
import { textWidth } from "../geometry/text.ts";
import type { CoverageMap, DrawnWires, PlanMark, Traffic } from "./contract.ts";
import { bandsIn, levelText, tintOf } from "./coverage.ts";
import { faces } from "./label-style.ts";
import { MarksKey } from "./MarksLayer.tsx";
import { TrafficKey } from "./TrafficLayer.tsx";
import { WiresKey } from "./WiresLayer.tsx";
import type { StoreyWires } from "./wires.ts";
import { words } from "./words.ts";

interface FootProps {
  k: number;
  units: UnitSystem;
  northDeg: number;
  /** Size of the building in plan [m]. */
  extent: { width: number; height: number };
  map?: CoverageMap | undefined;
  traffic?: Traffic | undefined;
  marks?: readonly PlanMark[] | undefined;
  wires?: { drawn: DrawnWires; on: readonly StoreyWires[] } | undefined;
  hasBelow: boolean;
  hasNone: boolean;
  notes: readonly string[];
  /** Width of the sheet [px]. */
  width: number;
}

export function Foot({
  k,
  units,
  northDeg,
  extent,
  map,
  traffic,
  marks,
  wires,
  hasBelow,
  hasNone,
  notes,
  width,
}: FootProps) {
  const n = scaleNumber(k);
  const name = scaleName(n, units);
  const unit = units === "metric" ? "m" : "ft";
  const px = fixed(units === "metric" ? k : k * METRES_PER_FOOT, 1);
  return (
    <div className="plan-foot">
      <ScaleBarMark k={k} units={units} longest={Math.min(230, Math.max(90, width * 0.3))} />
      <NorthMark deg={northDeg} />
      <div className="plan-foot-scale" title={words.scaleMeaning(px, unit)}>
        <b>{words.scale(name, paperFor(n, extent, units))}</b>
        {words.scaleMeaning(px, unit)}
      </div>
      {map && <MapKey map={map} widest={width - 28} />}
      {map && hasBelow && <Swatch kind="below" text={words.below} />}
      {map && hasNone && <Swatch kind="none" text={words.noValue} />}
      {traffic && <TrafficKey traffic={traffic} />}
      {marks && <MarksKey marks={marks} />}
      {wires && <WiresKey wires={wires.drawn} on={wires.on} />}
      {notes.length > 0 && <div className="plan-foot-notes">{notes.join(". ")}</div>}
    </div>
  );
}

/** A bar of a round length; `data-metres` is its length, and the line is exactly so long on the screen. */
function ScaleBarMark({ k, units, longest }: { k: number; units: UnitSystem; longest: number }) {
  const bar = scaleBar(k, longest, units);
  const last = bar.marks.length - 1;
  return (
    <svg
      className="plan-foot-bar"
      width={bar.px + 24}
      height="30"
      role="img"
      aria-label={`Scale bar, ${bar.marks[last]?.label ?? ""} ${bar.unit}`}
      data-metres={bar.length}
      data-px={bar.px}
    >
      <g transform="translate(8.5 8.5)">
        <line
          className="plan-scale-length"
          data-metres={bar.length}
          x1="0"
          y1="0"
          x2={bar.px}
          y2="0"
          stroke="var(--plan-ink)"
          strokeWidth="1.3"
        />
        <path d={bar.marks.map((mark) => `M${mark.px},-4V4`).join("")} />
        {bar.marks.map((mark, i) => (
          <text key={mark.label} x={mark.px} y="17">
            {i === last ? `${mark.label} ${bar.unit}` : mark.label}
          </text>
        ))}
      </g>
    </svg>
  );
}

/** North, turned from up the sheet, clockwise; its letter stays upright. */
export function NorthMark({ deg }: { deg: number }) {
  const turn = (deg * Math.PI) / 180;
  return (
    <svg
      className="plan-north"
      width="40"
      height="40"
      role="img"
      aria-label={`${words.north}, ${fixed(deg, 0)}° clockwise from up the sheet`}
    >
      <g transform="translate(20 20)">
        <g transform={`rotate(${deg})`}>
          <circle r="9" />
          <path d="M0,-9L4,6.5L0,4L-4,6.5Z" />
        </g>
        <text x={15 * Math.sin(turn)} y={-15 * Math.cos(turn) + 4}>
          N
        </text>
      </g>
    </svg>
  );
}

/** Width of a band of the key, and of its unit [px]. */
const BAND = 30;
const UNIT = 56;

/** The bands that the map's values lie in, with the levels between them and the unit. */
export function MapKey({ map, widest }: { map: CoverageMap; widest: number }) {
  const levels = [...new Set(map.levels)].sort((a, b) => a - b);
  const range = bandsIn(map, levels);
  if (!range) return null;
  const [first, last] = range;
  const bands = Array.from({ length: last - first + 1 }, (_, i) => first + i);
  const between = levels.slice(first, last);
  // The sheet has no width before it is measured.
  const band = Math.max(1, Math.min(BAND, Math.floor((widest - UNIT) / bands.length)));
  const longest = Math.max(0, ...between.map((level) => textWidth(levelText(level), faces.contour)));
  // Where bands are narrow not every level is written.
  const every = Math.ceil((longest + 4) / band);
  const spoken =
    between.length > 0
      ? `Levels in ${map.unit}: ${between.map(levelText).join(", ")}`
      : `One band, in ${map.unit}`;
  return (
    <svg className="plan-key" width={bands.length * band + UNIT} height="34" role="img" aria-label={spoken}>
      <g transform="translate(4 0)">
        {bands.map((index, i) => (
          <rect
            key={index}
            className={`plan-tint-${tintOf(index, levels.length)}`}
            x={i * band}
            y="4"
            width={band}
            height="11"
          />
        ))}
        {between.map((level, i) =>
          i % every === 0 ? (
            <text key={level} x={(i + 1) * band} y="28">
              {levelText(level)}
            </text>
          ) : null,
        )}
        <text x={bands.length * band + 8} y="14" style={{ textAnchor: "start" }}>
          {map.unit}
        </text>
      </g>
    </svg>
  );
}

/** What a pattern of the map means. */
function Swatch({ kind, text }: { kind: "below" | "none"; text: string }) {
  return (
    <div className="plan-key-item">
      <svg width="30" height="15" aria-hidden="true">
        {kind === "below" ? (
          <>
            <path className="plan-hatch-line" d="M1,9L9,1M4,14L17,1M12,14L25,1M20,14L29,5M28,14L29,13" />
            <path className="plan-target" d="M0,14H30" />
          </>
        ) : (
          <path className="plan-none-line" d="M4,4h0M11,4h0M18,4h0M25,4h0M4,11h0M11,11h0M18,11h0M25,11h0" />
        )}
      </svg>
      {text}
    </div>
  );
}
