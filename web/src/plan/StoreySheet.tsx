// One storey as a drawing: geometry in metres under one transform, symbols and labels in pixels above it.

import { useMemo } from "react";
import { type Size, screenPoint } from "../geometry/brand.ts";
import { type DoorLeaf, doorOf, frameOf, reveal } from "../geometry/opening.ts";
import { upright } from "../geometry/oriented.ts";
import { areaPath, linePath, ringPath } from "../geometry/path.ts";
import type { Obstacle, SoftLine } from "../geometry/placement.ts";
import { screenFromPlan, type View } from "../geometry/view.ts";
import { turnFromWall } from "../geometry/wall-side.ts";
import { CoverageAreas, CoverageLines } from "./CoverageLayer.tsx";
import type { Design, House, Keynote, Probe, Selection, Storey } from "./contract.ts";
import type { RoomCoverage } from "./coverage.ts";
import { LabelLayer } from "./LabelLayer.tsx";
import {
  OUTLET_RADIUS,
  PART_RADIUS,
  ROW_HEIGHT,
  type SheetLabels,
  SYMBOLS_ONLY,
  sheetLabels,
} from "./labels.ts";
import { linksOn } from "./links.ts";
import { ProbeMark } from "./ProbeMark.tsx";
import type { PartKind } from "./parts.ts";
import { RoomFloors, StoreyLines, stairOf } from "./Storey.tsx";
import { DemarcationSymbol, OutletSymbol, PartSymbol } from "./Symbols.tsx";
import { hasDemarcation, partsOn, type Spot, spotsOf } from "./spots.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

/** Parts nearer than this are one list [px]. */
const NEAR = 22;
const NONE: readonly never[] = [];
const NO_GAPS: ReadonlyMap<string, readonly [number, number]> = new Map();

export interface StoreySheetProps {
  house: House;
  storey: Storey;
  view: View;
  size: Size;
  prefix: string;
  design?: Design | undefined;
  kinds?: Readonly<Record<string, PartKind>> | undefined;
  coverage: readonly RoomCoverage[];
  keynotes: readonly Keynote[];
  selected: Selection | null;
  probe: Probe | null;
  label: string;
  /** What of the window is covered by buttons. */
  covered: readonly Obstacle[];
  /** True while the view changes: labels of lines and outlets wait, so that nothing flickers. */
  isMoving: boolean;
}

/** What stands where on the screen; for drawing and for finding what was pressed. */
export interface SheetLayout {
  readonly labels: SheetLabels;
  readonly spots: readonly Spot[];
}

export function useSheetLayout(props: Omit<StoreySheetProps, "probe" | "label" | "prefix">): SheetLayout {
  const { house, storey, view, size, design, kinds, coverage, keynotes, selected, covered, isMoving } = props;
  const parts = useMemo(() => {
    const rooms = new Set(house.storeys.flatMap((s) => s.rooms.map((room) => room.id)));
    return partsOn(storey, design, rooms);
  }, [house, storey, design]);
  return useMemo(() => {
    const project = (p: Point): Point => screenFromPlan(view, p);
    const entry = house.demarcation?.storey === storey.id ? house.demarcation.at : null;
    const spots = spotsOf(parts, project, NEAR, kinds, entry);
    const obstacles: Obstacle[] = [...covered];
    const soft: SoftLine[] = [];
    for (const spot of spots) {
      const side = spot.parts.length > 1 ? 10 : 2 * PART_RADIUS;
      obstacles.push({ box: upright(spot.screen[0], spot.screen[1], side, side), owner: `spot:${spot.id}` });
    }
    for (const outlet of storey.outlets) {
      const [x, y] = project(outlet.at);
      obstacles.push({
        box: upright(x, y, 2 * OUTLET_RADIUS, 2 * OUTLET_RADIUS),
        owner: `outlet:${outlet.id}`,
      });
    }
    const demarcation = entry && !hasDemarcation(spots) ? project(entry) : null;
    if (demarcation)
      obstacles.push({ box: upright(demarcation[0], demarcation[1], 17, 17), owner: "demarcation" });
    let group = 0;
    const follow = (points: readonly Point[], cost: number): void => {
      group++;
      for (let i = 0; i + 1 < points.length; i++) {
        const a = points[i];
        const b = points[i + 1];
        if (a && b) soft.push({ a: project(a), b: project(b), cost, group });
      }
    };
    for (const link of linksOn(design, parts).links) follow(link.points, 4);
    for (const room of coverage) for (const line of room.lines) if (line.isTarget) follow(line.points, 3);
    for (const opening of storey.openings) {
      if (opening.kind === "window") continue;
      const frame = frameOf(opening.from, opening.to, opening.thickness_m);
      const ring = reveal(frame, opening.kind === "gap" ? 0.2 : 0);
      follow([...ring, ring[0] ?? [0, 0]], 2);
      if (opening.kind !== "door") continue;
      for (const leaf of doorOf(frame, storey.rooms).leaves) {
        follow([leaf.hinge, leaf.open], 4);
        follow(arcOf(leaf), 2);
      }
    }
    const stairs = storey.stairs.flatMap((stair) => {
      const drawn = stairOf(house, storey, stair);
      if (!drawn) return [];
      for (const tread of drawn.lines.treads) follow(tread, 2);
      const start = drawn.lines.walk[0];
      const next = drawn.lines.walk[1];
      if (!start || !next) return [];
      const [ax, ay] = project(start);
      const [bx, by] = project(next);
      const length = Math.hypot(bx - ax, by - ay) || 1;
      const at: Point = [ax - ((bx - ax) / length) * 9, ay - ((by - ay) / length) * 9];
      return [{ id: stair.id, at, text: drawn.upward ? words.up : words.down }];
    });
    const labels = sheetLabels({
      rooms: storey.rooms,
      units: house.units,
      size,
      project,
      lines: isMoving ? NONE : coverage.flatMap((room) => room.lines),
      spots,
      keynotes,
      outlets: isMoving ? NONE : storey.outlets,
      objects: storey.objects,
      stairs,
      demarcation,
      solids: storey.walls.flatMap((wall) => wall.solids.map((solid) => solid.map(project))),
      obstacles,
      soft,
      selected,
    });
    return { labels, spots };
  }, [house, storey, view, size, design, kinds, coverage, keynotes, selected, covered, isMoving, parts]);
}

/** A door's arc as three chords: near enough to keep labels off it. */
function arcOf({ hinge, open, shut, counterClockwise }: DoorLeaf): Point[] {
  const start = Math.atan2(open[1] - hinge[1], open[0] - hinge[0]);
  const radius = Math.hypot(open[0] - hinge[0], open[1] - hinge[1]);
  const turn = ((counterClockwise ? 1 : -1) * Math.PI) / 6;
  const at = (n: number): Point => [
    hinge[0] + radius * Math.cos(start + n * turn),
    hinge[1] + radius * Math.sin(start + n * turn),
  ];
  return [open, at(1), at(2), shut];
}

export function StoreySheet({ layout, ...props }: StoreySheetProps & { layout: SheetLayout }) {
  const { house, storey, view, size, prefix, design, coverage, selected, probe, label, isMoving } = props;
  const { labels, spots } = layout;
  const lines = useMemo(() => coverage.flatMap((room) => room.lines), [coverage]);
  const gaps = useMemo(() => {
    if (isMoving) return NO_GAPS;
    const found = new Map<string, readonly [number, number]>();
    for (const [id, place] of labels.placed) {
      const it = labels.labels.get(id);
      const gap = it?.kind === "contour" ? it.gap[place.form ?? 0] : undefined;
      if (it?.kind === "contour" && gap) found.set(it.line.id, [gap[0] / view.k, gap[1] / view.k]);
    }
    return found;
  }, [labels, view.k, isMoving]);
  const linked = useMemo(() => {
    const rooms = new Set(house.storeys.flatMap((s) => s.rooms.map((room) => room.id)));
    return linksOn(design, partsOn(storey, design, rooms));
  }, [house, storey, design]);
  const project = (p: Point): Point => screenFromPlan(view, p);
  const turnAt = (at: Point): number => {
    const room = storey.rooms.find((r) => turnRoom(r.outline, at)) ?? nearestRoom(storey, at);
    return room ? turnFromWall(at, room.outline) : 0;
  };
  return (
    <svg width={size.width} height={size.height} role="img" aria-label={label}>
      <defs>
        <Patterns prefix={prefix} k={view.k} />
        <marker
          id={`${prefix}-arrow`}
          viewBox="0 0 10 10"
          refX="9"
          refY="5"
          markerWidth="9"
          markerHeight="9"
          markerUnits="userSpaceOnUse"
          orient="auto"
        >
          <path d="M0.5,1.5L9,5L0.5,8.5" fill="none" stroke="var(--plan-ink)" strokeWidth="0.9" />
        </marker>
      </defs>
      <g className="plan-geometry" transform={`matrix(${view.k} 0 0 ${-view.k} ${view.tx} ${view.ty})`}>
        <RoomFloors storey={storey} />
        <CoverageAreas coverage={coverage} prefix={prefix} patterns={prefix} />
        <CoverageLines lines={lines} gaps={gaps} />
        <StoreyLines house={house} storey={storey} partyPattern={`${prefix}-party`} />
        <SelectedShape storey={storey} selected={selected} />
      </g>
      <StairArrows house={house} storey={storey} view={view} />
      {linked.links.map((link) => (
        <path key={link.id} className={`plan-${link.over}`} d={linePath(link.points.map(project))} />
      ))}
      {linked.risers.map(({ at, up }) => {
        const [x, y] = project(at);
        return <path key={`${at[0]},${at[1]},${up}`} className="plan-seen" d={riser(x, y, up)} />;
      })}
      {storey.outlets.map((outlet) => {
        const [x, y] = project(outlet.at);
        return <OutletSymbol key={outlet.id} kind={outlet.kind} x={x} y={y} turn={turnAt(outlet.at)} />;
      })}
      {house.demarcation?.storey === storey.id && !hasDemarcation(spots) && (
        <DemarcationSymbol x={project(house.demarcation.at)[0]} y={project(house.demarcation.at)[1]} />
      )}
      {spots.map((spot) => {
        const [only] = spot.parts.filter((drawn) => drawn.part);
        if (!only?.part) return null;
        const isListed = spot.parts.length > 1 && labels.placed.has(`spot:${spot.id}`);
        const [x, y] = spot.screen;
        if (isListed) return <circle key={spot.id} className="plan-dot" cx={x} cy={y} r="3.2" />;
        const onWall = only.part.mounting === "wall";
        return (
          <PartSymbol
            key={spot.id}
            kind={only.kind}
            x={x}
            y={y}
            turn={onWall ? turnAt([only.part.at[0], only.part.at[1]]) : undefined}
          />
        );
      })}
      <LabelLayer labels={labels} />
      <SelectedMark layout={layout} storey={storey} view={view} selected={selected} />
      {probe && probe.storey === storey.id && (
        <ProbeMark probe={probe} storey={storey} design={design} view={view} size={size} />
      )}
    </svg>
  );
}

function turnRoom(outline: readonly Point[], at: Point): boolean {
  let inside = false;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i++) {
    const [ax, ay] = outline[i] ?? [0, 0];
    const [bx, by] = outline[j] ?? [0, 0];
    if (ay > at[1] !== by > at[1] && at[0] < ((bx - ax) * (at[1] - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}

function nearestRoom(storey: Storey, at: Point) {
  let best: Storey["rooms"][number] | undefined;
  let distance = Infinity;
  for (const room of storey.rooms) {
    const d = Math.hypot(room.inside[0] - at[0], room.inside[1] - at[1]);
    if (d < distance) {
      distance = d;
      best = room;
    }
  }
  return best;
}

/** Hatches that keep their size on the screen whatever the scale. */
export function Patterns({ prefix, k }: { prefix: string; k: number }) {
  const steady = `scale(${1 / k} ${-1 / k})`;
  return (
    <>
      <pattern
        id={`${prefix}-hatch`}
        width="8"
        height="8"
        patternUnits="userSpaceOnUse"
        patternTransform={`${steady} rotate(45)`}
      >
        <path className="plan-hatch-line" d="M4,0V8" />
      </pattern>
      <pattern
        id={`${prefix}-none`}
        width="7"
        height="7"
        patternUnits="userSpaceOnUse"
        patternTransform={steady}
      >
        <circle className="plan-none-mark" cx="3.5" cy="3.5" r="0.9" />
      </pattern>
      <pattern
        id={`${prefix}-party`}
        width="4.5"
        height="4.5"
        patternUnits="userSpaceOnUse"
        patternTransform={`${steady} rotate(-45)`}
      >
        <path className="plan-party-line" d="M2.25,0V4.5" />
      </pattern>
    </>
  );
}

function StairArrows({ house, storey, view }: { house: House; storey: Storey; view: View }) {
  return (
    <>
      {storey.stairs.map((stair) => {
        const drawn = stairOf(house, storey, stair);
        if (!drawn || drawn.lines.walk.length < 2) return null;
        const walk = drawn.lines.walk.map((p) => screenFromPlan(view, p));
        const [bx, by] = walk[walk.length - 1] ?? screenPoint(0, 0);
        const [ax, ay] = walk[walk.length - 2] ?? screenPoint(0, 0);
        const length = Math.hypot(bx - ax, by - ay) || 1;
        const u: Point = [(bx - ax) / length, (by - ay) / length];
        const wing = (side: number): string =>
          `${bx - u[0] * 8 - u[1] * 4 * side},${by - u[1] * 8 + u[0] * 4 * side}`;
        return <path key={stair.id} className="plan-seen" d={`M${wing(1)}L${bx},${by}L${wing(-1)}`} />;
      })}
    </>
  );
}

/** A small arrow where links go to another storey. */
const riser = (x: number, y: number, up: boolean): string => {
  const s = up ? -1 : 1;
  return `M${x - 12},${y - 5 * s}V${y + 6 * s}M${x - 15},${y + 2.5 * s}L${x - 12},${y + 6 * s}L${x - 9},${y + 2.5 * s}`;
};

function SelectedShape({ storey, selected }: { storey: Storey; selected: Selection | null }) {
  if (selected?.kind === "room") {
    const room = storey.rooms.find((r) => r.id === selected.id);
    if (room)
      return (
        <path className="plan-selected-room" fillRule="evenodd" d={areaPath([room.outline, ...room.holes])} />
      );
  }
  if (selected?.kind === "wall") {
    const wall = storey.walls.find((w) => w.id === selected.id);
    if (wall) return <path className="plan-selected-wall" d={areaPath(wall.solids)} />;
  }
  if (selected?.kind === "opening") {
    const opening = storey.openings.find((o) => o.id === selected.id);
    if (opening) {
      return (
        <path
          className="plan-selected"
          d={ringPath(reveal(frameOf(opening.from, opening.to, opening.thickness_m), 0.05))}
        />
      );
    }
  }
  return null;
}

function SelectedMark({
  layout,
  storey,
  view,
  selected,
}: {
  layout: SheetLayout;
  storey: Storey;
  view: View;
  selected: Selection | null;
}) {
  if (!selected) return null;
  if (selected.kind === "keynote") {
    const box = layout.labels.placed.get(`keynote:${selected.id}`)?.box;
    return box ? <circle className="plan-selected" cx={box.x} cy={box.y} r="15" /> : null;
  }
  if (selected.kind === "outlet") {
    const outlet = storey.outlets.find((o) => o.id === selected.id);
    if (!outlet) return null;
    const [x, y] = screenFromPlan(view, outlet.at);
    return <circle className="plan-selected" cx={x} cy={y} r="9.5" />;
  }
  if (selected.kind === "part") {
    for (const spot of layout.spots) {
      const row = spot.parts.findIndex((p) => p.part?.id === selected.id);
      if (row < 0) continue;
      const list = spot.parts.length > 1 ? layout.labels.placed.get(`spot:${spot.id}`) : undefined;
      if (!list) return <circle className="plan-selected" cx={spot.screen[0]} cy={spot.screen[1]} r="14" />;
      const left = list.box.x - list.box.w / 2;
      const top = list.box.y - list.box.h / 2;
      const along = 3 + row * ROW_HEIGHT;
      return list.form === SYMBOLS_ONLY ? (
        <rect
          className="plan-selected"
          x={left + along}
          y={top + 1.5}
          width={ROW_HEIGHT}
          height={list.box.h - 3}
        />
      ) : (
        <rect
          className="plan-selected"
          x={left + 1.5}
          y={top + along}
          width={list.box.w - 3}
          height={ROW_HEIGHT}
        />
      );
    }
  }
  return null;
}
