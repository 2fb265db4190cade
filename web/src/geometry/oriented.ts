// Boxes that may be turned: the shape of a label, a symbol or a leader. Everything here is in screen pixels.

import type { Box, Radians } from "./brand.ts";

/** A box turned about its centre; angle clockwise on the screen. */
export interface Oriented {
  readonly x: number;
  readonly y: number;
  readonly w: number;
  readonly h: number;
  readonly angle: Radians;
}

export const upright = (x: number, y: number, w: number, h: number): Oriented => ({ x, y, w, h, angle: 0 });

/** The thin box along a line. */
export function alongLine(
  a: readonly [number, number],
  b: readonly [number, number],
  thickness: number,
): Oriented {
  return {
    x: (a[0] + b[0]) / 2,
    y: (a[1] + b[1]) / 2,
    w: Math.hypot(b[0] - a[0], b[1] - a[1]),
    h: thickness,
    angle: Math.atan2(b[1] - a[1], b[0] - a[0]),
  };
}

/** The box along the axes around a turned box. */
export function hull(box: Oriented): Box {
  if (box.angle === 0) {
    const { x, y, w, h } = box;
    return { minX: x - w / 2, minY: y - h / 2, maxX: x + w / 2, maxY: y + h / 2 };
  }
  const c = Math.abs(Math.cos(box.angle));
  const s = Math.abs(Math.sin(box.angle));
  const hx = (box.w * c + box.h * s) / 2;
  const hy = (box.w * s + box.h * c) / 2;
  return { minX: box.x - hx, minY: box.y - hy, maxX: box.x + hx, maxY: box.y + hy };
}

export const boxesTouch = (a: Box, b: Box): boolean =>
  a.minX < b.maxX && b.minX < a.maxX && a.minY < b.maxY && b.minY < a.maxY;

/** True if two turned boxes overlap (separating axes: two convex shapes are apart if some edge's normal parts them). */
export function overlap(a: Oriented, b: Oriented): boolean {
  if (a.angle === 0 && b.angle === 0) {
    return 2 * Math.abs(b.x - a.x) < a.w + b.w - 2e-9 && 2 * Math.abs(b.y - a.y) < a.h + b.h - 2e-9;
  }
  return (
    !parts(a, b, a.angle) &&
    !parts(a, b, a.angle + Math.PI / 2) &&
    !parts(a, b, b.angle) &&
    !parts(a, b, b.angle + Math.PI / 2)
  );
}

function parts(a: Oriented, b: Oriented, axis: number): boolean {
  const distance = Math.abs((b.x - a.x) * Math.cos(axis) + (b.y - a.y) * Math.sin(axis));
  return distance >= reach(a, axis) + reach(b, axis) - 1e-9;
}

const reach = (box: Oriented, axis: number): number =>
  (box.w / 2) * Math.abs(Math.cos(axis - box.angle)) + (box.h / 2) * Math.abs(Math.sin(axis - box.angle));

/** True if a segment runs through a box (or within it). */
export function segmentMeets(
  box: Oriented,
  a: readonly [number, number],
  b: readonly [number, number],
): boolean {
  const c = Math.cos(box.angle);
  const s = Math.sin(box.angle);
  const local = (p: readonly [number, number]): [number, number] => [
    (p[0] - box.x) * c + (p[1] - box.y) * s,
    -(p[0] - box.x) * s + (p[1] - box.y) * c,
  ];
  const [ax, ay] = local(a);
  const [bx, by] = local(b);
  let t0 = 0;
  let t1 = 1;
  for (const [from, delta, half] of [
    [ax, bx - ax, box.w / 2],
    [ay, by - ay, box.h / 2],
  ] as const) {
    if (Math.abs(delta) < 1e-12) {
      if (Math.abs(from) > half) return false;
      continue;
    }
    const u = (-half - from) / delta;
    const v = (half - from) / delta;
    t0 = Math.max(t0, Math.min(u, v));
    t1 = Math.min(t1, Math.max(u, v));
  }
  return t0 < t1;
}
