// An axonometric view: the plan turned and laid back, heights straight up. The result is again a plane with y up, in
// metres along the level direction, so that the same view (scale and shift) shows it.

import { type Box, type PlanPoint, planPoint, type Radians } from "./brand.ts";
import { pointOf, type Ring, signedArea } from "./polygon.ts";

/** How the view is taken. */
export interface Axonometry {
  /** Turn of the plan, counter-clockwise. */
  readonly turn: Radians;
  /** How much depth is left when the plan is laid back, 0 to 1. */
  readonly lay: number;
  /** Metres drawn for a metre of height within a storey: what an orthographic view leaves of it. */
  readonly rise: number;
}

/** The orthographic view of a plan turned by `turnDeg` and laid back to `lay` of its depth. */
export function axonometry(turnDeg: number, lay: number): Axonometry {
  return { turn: (turnDeg * Math.PI) / 180, lay, rise: Math.sqrt(1 - lay * lay) };
}

/** Where a plan point at a drawn height is seen. */
export function seen(axo: Axonometry, [x, y]: readonly [number, number], height: number): PlanPoint {
  const c = Math.cos(axo.turn);
  const s = Math.sin(axo.turn);
  return planPoint(x * c - y * s, (x * s + y * c) * axo.lay + height);
}

/** The plan point that is seen at a place, on the level at a drawn height. */
export function unseen(axo: Axonometry, [u, v]: readonly [number, number], height: number): PlanPoint {
  const c = Math.cos(axo.turn);
  const s = Math.sin(axo.turn);
  const depth = (v - height) / axo.lay;
  return planPoint(u * c + depth * s, -u * s + depth * c);
}

/** The same as an SVG matrix for geometry in plan metres. */
export function matrixOf(axo: Axonometry, height: number): string {
  const c = Math.cos(axo.turn);
  const s = Math.sin(axo.turn);
  return `matrix(${c} ${s * axo.lay} ${-s} ${c * axo.lay} 0 ${height})`;
}

/** Distance from the viewer's side; larger is further away. */
export const depthOf = (axo: Axonometry, [x, y]: readonly [number, number]): number =>
  x * Math.sin(axo.turn) + y * Math.cos(axo.turn);

/** Where the corners of a plan box are seen at one height. */
export function seenBox(axo: Axonometry, box: Box, height: number): Box {
  const corners = [
    seen(axo, [box.minX, box.minY], height),
    seen(axo, [box.maxX, box.minY], height),
    seen(axo, [box.maxX, box.maxY], height),
    seen(axo, [box.minX, box.maxY], height),
  ];
  return {
    minX: Math.min(...corners.map(([u]) => u)),
    maxX: Math.max(...corners.map(([u]) => u)),
    minY: Math.min(...corners.map(([, v]) => v)),
    maxY: Math.max(...corners.map(([, v]) => v)),
  };
}

/** An upright solid as it is seen: the sides that face the viewer, and its top. */
export interface Prism {
  readonly sides: readonly { readonly ring: Ring; readonly isLeft: boolean }[];
  readonly top: Ring;
  readonly depth: number;
}

export function prism(axo: Axonometry, ring: Ring, base: number, height: number): Prism {
  const turn = signedArea(ring) >= 0 ? 1 : -1;
  const sides: { ring: Ring; isLeft: boolean }[] = [];
  let depth = 0;
  for (let i = 0; i < ring.length; i++) {
    const a = pointOf(ring, i);
    const b = pointOf(ring, i + 1);
    depth += depthOf(axo, a) / ring.length;
    // The outward normal of a counter-clockwise ring's edge is (dy, −dx).
    const normal: readonly [number, number] = [(b[1] - a[1]) * turn, (a[0] - b[0]) * turn];
    if (depthOf(axo, normal) >= -1e-9) continue;
    const across = normal[0] * Math.cos(axo.turn) - normal[1] * Math.sin(axo.turn);
    sides.push({
      ring: [
        seen(axo, a, base),
        seen(axo, b, base),
        seen(axo, b, base + height),
        seen(axo, a, base + height),
      ],
      isLeft: across < 0,
    });
  }
  return { sides, top: ring.map((p) => seen(axo, p, base + height)), depth };
}

/** A storey's level, and the level it is drawn at. */
export interface Stacked<T> {
  readonly item: T;
  readonly height: number;
}

/**
 * Drawn heights of storeys: their floors' own heights, all stretched by the one factor that parts the closest two by
 * at least `apart`. Lowest first.
 */
export function stacked<T extends { floor_z: number }>(
  storeys: readonly T[],
  apart: number,
): { levels: Stacked<T>[]; stretch: number } {
  const sorted = [...storeys].sort((a, b) => a.floor_z - b.floor_z);
  let stretch = 1;
  for (let i = 1; i < sorted.length; i++) {
    const gap = (sorted[i]?.floor_z ?? 0) - (sorted[i - 1]?.floor_z ?? 0);
    if (gap > 0.5) stretch = Math.max(stretch, apart / gap);
  }
  const ground = sorted[0]?.floor_z ?? 0;
  return { levels: sorted.map((item) => ({ item, height: (item.floor_z - ground) * stretch })), stretch };
}
