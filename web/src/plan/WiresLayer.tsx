// Cables over the building where they run, in the style of line of what they run in; holes by their kind, with a frame
// where fire has to be kept out; feeds from outlets and batteries.

import type { ReactNode } from "react";
import { linePath, linesPath } from "../geometry/path.ts";
import type { DrawnHole, DrawnHoleKind, DrawnWires, WayLook } from "./contract.ts";
import { type Rise, type Run, type StoreyWires, weightOfRun } from "./wires.ts";
import { wireWords } from "./words.ts";

type Point = readonly [number, number];

interface Props {
  wires: DrawnWires;
  on: StoreyWires;
  project(p: Point): Point;
}

interface Stroke {
  key: string;
  look: WayLook;
  weight: 0 | 1 | 2;
  state: "plain" | "light" | "chosen";
  d: string;
}

/** Runs that are drawn alike are one path, so that dashes go on over joints. */
function strokesOf(runs: readonly Run[], wires: DrawnWires, project: (p: Point) => Point): Stroke[] {
  const { chosen, isPower } = wires;
  const powered = new Set(wires.cables.filter((cable) => cable.isPowered).map(({ id }) => id));
  const found = new Map<string, Stroke & { lines: Point[][] }>();
  for (const { look, a, b, cables } of runs) {
    const isChosen = chosen !== null && cables.some((id) => chosen.cables.has(id));
    const isLight = chosen !== null ? !isChosen : isPower && !cables.some((id) => powered.has(id));
    const state = isChosen ? "chosen" : isLight ? "light" : "plain";
    const count = isPower ? cables.filter((id) => powered.has(id)).length : cables.length;
    const weight = weightOfRun(count);
    const key = `${state} ${look} ${weight}`;
    const stroke = found.get(key) ?? { key, look, weight, state, d: "", lines: [] };
    found.set(key, stroke);
    stroke.lines.push([project(a), project(b)]);
  }
  const order = { light: 0, plain: 1, chosen: 2 };
  return [...found.values()]
    .sort((a, b) => order[a.state] - order[b.state] || (a.key < b.key ? -1 : 1))
    .map(({ lines, ...stroke }) => ({ ...stroke, d: linesPath(lines.map((line) => line)) }));
}

export function WireLines({ wires, on, project }: Props) {
  const strokes = strokesOf(on.runs, wires, project);
  return (
    <g className="plan-wires">
      {[false, true].map((isHeavy) => {
        const runs = on.runs.filter(({ cables }) => weightOfRun(cables.length) > 0 === isHeavy);
        const kind = isHeavy ? "plan-wire-ground plan-wire-ground-heavy" : "plan-wire-ground";
        const d = linesPath(runs.map(({ a, b }) => [project(a), project(b)]));
        return runs.length > 0 && <path key={kind} className={kind} d={d} />;
      })}
      {strokes.map(({ key, ...stroke }) => (
        <Strokes key={key} {...stroke} />
      ))}
      {on.feeds.map((feed) => {
        const to = project([feed.to[0], feed.to[1]]);
        const from = feed.source && project([feed.source[0], feed.source[1]]);
        return (
          <g key={`${feed.part} ${feed.from}`} data-feed={feed.part}>
            {from ? (
              <path className={`plan-feed plan-feed-${feed.from}`} d={linePath([from, to])} />
            ) : (
              <path className="plan-feed plan-feed-unknown" d={linePath([[to[0], to[1] + 22], to])} />
            )}
            {from && feed.from === "mains" && (
              <circle className="plan-feed-end" cx={from[0]} cy={from[1]} r="2.4" />
            )}
          </g>
        );
      })}
    </g>
  );
}

function Strokes({ look, weight, state, d }: Omit<Stroke, "key">) {
  const kind = `plan-wire plan-wire-${look} plan-wire-weight-${weight} plan-wire-${state}`;
  if (look !== "conduit" && look !== "shaft") return <path className={kind} data-way={look} d={d} />;
  // A pipe has two sides.
  return (
    <g data-way={look}>
      <path className={`${kind} plan-wire-pipe`} d={d} />
      <path className="plan-wire-bore" d={d} />
    </g>
  );
}

/** Marks of holes, of the way to other storeys, and of ends. */
export function WireMarks({ wires, on, project }: Props) {
  const { chosen } = wires;
  const light = (cables: readonly string[]): string | undefined =>
    chosen !== null && !cables.some((id) => chosen.cables.has(id)) ? "plan-lighter" : undefined;
  return (
    <>
      {on.drops.map(({ at, cables }) => {
        const [x, y] = project(at);
        return <circle key={`${at}`} className={`plan-drop ${light(cables) ?? ""}`} cx={x} cy={y} r="2.2" />;
      })}
      {on.ends.map(({ at, cable }) => {
        const [x, y] = project(at);
        return (
          <rect
            key={cable}
            className={`plan-device ${light([cable]) ?? ""}`}
            x={x - 3.5}
            y={y - 3.5}
            width="7"
            height="7"
          />
        );
      })}
      {on.holes.map((hole) => {
        const [x, y] = project([hole.at[0], hole.at[1]]);
        const isLight = chosen !== null && !chosen.holes.has(hole.id);
        return (
          <g key={hole.id} data-hole={hole.id} transform={`translate(${x} ${y})`}>
            <g className={isLight ? "plan-lighter" : undefined}>
              <HoleMark {...hole} />
            </g>
          </g>
        );
      })}
      {on.rises.map(({ at, cables, ...to }) => {
        const [x, y] = project(at);
        return (
          <g key={`${at}`} className={light(cables)} data-rise={cables.join(" ")}>
            <RiseMark x={x} y={y} {...to} />
          </g>
        );
      })}
    </>
  );
}

interface RiseMarkProps extends Partial<Pick<Rise, "up" | "down" | "beside">> {
  x: number;
  y: number;
}

/** A ring with arrows to where cables go. */
export function RiseMark({ x, y, up, down, beside }: RiseMarkProps) {
  const across = beside ? "M-4.8,0H4.8M-1.8,-2.8L-4.8,0L-1.8,2.8M1.8,-2.8L4.8,0L1.8,2.8" : "";
  const heads = `${up ? "M-2.8,-1.8L0,-4.8L2.8,-1.8" : ""}${down ? "M-2.8,1.8L0,4.8L2.8,1.8" : ""}`;
  return (
    <g transform={`translate(${x} ${y})`}>
      <circle className="plan-rise" r="7" />
      <path className="plan-rise-arrow" d={`${up || down ? `M0,4.8V-4.8${heads}` : ""}${across}`} />
    </g>
  );
}

/** A hole by what it goes through; a sealed one stands in a frame. */
export function HoleMark({ kind, isSealed }: Pick<DrawnHole, "kind" | "isSealed">) {
  return (
    <>
      {isSealed && <path className="plan-seal" d="M-7.5,0L-3.75,-6.5H3.75L7.5,0L3.75,6.5H-3.75Z" />}
      {holeShape[kind]}
    </>
  );
}

const holeShape: Record<DrawnHoleKind, ReactNode> = {
  wall: <circle className="plan-hole" r="3" />,
  "party-wall": (
    <>
      <circle className="plan-hole" r="3.8" />
      <path className="plan-hole-line" d="M-2.7,-2.7L2.7,2.7M-2.7,2.7L2.7,-2.7" />
    </>
  ),
  "outer-wall": (
    <>
      <circle className="plan-hole" r="3.8" />
      <circle className="plan-hole-solid" r="1.6" />
    </>
  ),
  floor: (
    <>
      <rect className="plan-hole" x="-3.2" y="-3.2" width="6.4" height="6.4" />
      <path className="plan-hole-line" d="M-3.2,-3.2L3.2,3.2M-3.2,3.2L3.2,-3.2" />
    </>
  ),
  plate: <path className="plan-hole" d="M0,-3.8L3.6,2.6H-3.6Z" />,
  joist: <path className="plan-hole" d="M0,-2.6L2.6,0L0,2.6L-2.6,0Z" />,
};

const holeKinds = Object.keys(holeShape) as DrawnHoleKind[];

/** What the styles of line and the marks mean, as far as they are on the drawing. */
export function WiresKey({ wires, on }: { wires: DrawnWires; on: readonly StoreyWires[] }) {
  const runs = on.flatMap((storey) => storey.runs);
  const holes = on.flatMap((storey) => storey.holes);
  const rises = on.flatMap((storey) => storey.rises);
  const feeds = on.flatMap((storey) => storey.feeds);
  const looks = (Object.keys(wireWords.looks) as WayLook[]).filter((look) =>
    runs.some((r) => r.look === look),
  );
  const isHeavy = runs.some(({ cables }) => weightOfRun(cables.length) > 0);
  return (
    <ul className="plan-wires-key" aria-label={wireWords.key}>
      {looks.map((look) => (
        <li key={look}>
          <svg width="40" height="12" aria-hidden="true">
            <Strokes look={look} weight={0} state="plain" d="M1,6H39" />
          </svg>
          {wireWords.looks[look]}
        </li>
      ))}
      {isHeavy && !wires.isPower && (
        <li>
          <svg width="40" height="12" aria-hidden="true">
            <path className="plan-wire plan-wire-weight-1" d="M1,6H19" />
            <path className="plan-wire plan-wire-weight-2" d="M20,6H39" />
          </svg>
          {wireWords.together}
        </li>
      )}
      {wires.isPower && runs.length > 0 && (
        <li>
          <svg width="40" height="12" aria-hidden="true">
            <path className="plan-wire plan-wire-light plan-wire-weight-0" d="M1,6H39" />
          </svg>
          {wireWords.withoutPower}
        </li>
      )}
      {holeKinds
        .filter((kind) => holes.some((hole) => hole.kind === kind))
        .map((kind) => (
          <li key={kind}>
            <svg width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true">
              <HoleMark kind={kind} isSealed={false} />
            </svg>
            {wireWords.holes[kind]}
          </li>
        ))}
      {holes.some(({ isSealed }) => isSealed) && (
        <li>
          <svg width="18" height="16" viewBox="-9 -8 18 16" aria-hidden="true">
            <HoleMark kind="wall" isSealed />
          </svg>
          {wireWords.sealed}
        </li>
      )}
      {rises.length > 0 && (
        <li>
          <svg width="18" height="18" viewBox="-9 -9 18 18" aria-hidden="true">
            <RiseMark x={0} y={0} up />
          </svg>
          {wireWords.rises}
        </li>
      )}
      {feeds.some(({ from, source }) => from === "mains" && source) && (
        <li>
          <svg width="40" height="12" aria-hidden="true">
            <path className="plan-feed plan-feed-mains" d="M4,6H39" />
            <circle className="plan-feed-end" cx="4" cy="6" r="2.4" />
          </svg>
          {wireWords.fromOutlet}
        </li>
      )}
      {feeds.some(({ from }) => from === "battery") && (
        <li>
          <svg width="40" height="12" aria-hidden="true">
            <path className="plan-feed plan-feed-battery" d="M1,6H39" />
          </svg>
          {wireWords.fromBattery}
        </li>
      )}
      {feeds.some(({ source }) => source === null) && (
        <li>
          <svg width="40" height="12" aria-hidden="true">
            <path className="plan-feed plan-feed-unknown" d="M1,6H39" />
          </svg>
          {wireWords.noOutlet}
        </li>
      )}
    </ul>
  );
}
