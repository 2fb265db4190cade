// Patterns of the drawing, arrows, and what shows the selection.

import { screenPoint } from "../geometry/brand.ts";
import { frameOf, reveal } from "../geometry/opening.ts";
import { areaPath, ringPath } from "../geometry/path.ts";
import { screenFromPlan, type View } from "../geometry/view.ts";
import type { House, Selection, Storey } from "./contract.ts";
import { ROW_HEIGHT } from "./label-style.ts";
import type { SheetLayout } from "./layout.ts";
import { SYMBOLS_ONLY } from "./places.ts";
import { stairOf } from "./Storey.tsx";

type Point = readonly [number, number];

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

export function StairArrows({ house, storey, view }: { house: House; storey: Storey; view: View }) {
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
export const riser = (x: number, y: number, up: boolean): string => {
  const s = up ? -1 : 1;
  return `M${x - 12},${y - 5 * s}V${y + 6 * s}M${x - 15},${y + 2.5 * s}L${x - 12},${y + 6 * s}L${x - 9},${y + 2.5 * s}`;
};

export function SelectedShape({ storey, selected }: { storey: Storey; selected: Selection | null }) {
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

export function SelectedMark({
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
  if (selected.kind === "hole") {
    const box = layout.holes.find(({ kind, id }) => kind === "hole" && id === selected.id)?.box;
    return box ? <circle className="plan-selected" cx={box.x} cy={box.y} r="11" /> : null;
  }
  // A device has its ring with its mark.
  if (selected.kind !== "part" && selected.kind !== "demarcation") return null;
  const box = partBox(layout, selected.kind === "part" ? selected.id : "demarcation");
  if (!box) return null;
  if (!box.isListed) return <circle className="plan-selected" cx={box.x} cy={box.y} r="14" />;
  return (
    <rect
      className="plan-selected"
      x={box.x - box.w / 2}
      y={box.y - box.h / 2}
      width={box.w}
      height={box.h}
    />
  );
}

/** Where a part, or the `demarcation` among parts, is drawn, by itself or in a list [px]. */
export interface PartBox {
  readonly x: number;
  readonly y: number;
  readonly w: number;
  readonly h: number;
  readonly isListed: boolean;
}

export function partBox(layout: SheetLayout, id: string): PartBox | null {
  for (const spot of layout.spots) {
    const row = spot.parts.findIndex((p) => p.id === id);
    if (row < 0) continue;
    const list = spot.parts.length > 1 ? layout.labels.placed.get(`spot:${spot.id}`) : undefined;
    if (!list) return { x: spot.screen[0], y: spot.screen[1], w: 28, h: 28, isListed: false };
    const left = list.box.x - list.box.w / 2;
    const top = list.box.y - list.box.h / 2;
    const along = 3 + row * ROW_HEIGHT;
    return list.form === SYMBOLS_ONLY
      ? {
          x: left + along + ROW_HEIGHT / 2,
          y: list.box.y,
          w: ROW_HEIGHT,
          h: list.box.h - 3,
          isListed: true,
        }
      : { x: list.box.x, y: top + along + ROW_HEIGHT / 2, w: list.box.w - 3, h: ROW_HEIGHT, isListed: true };
  }
  return null;
}
