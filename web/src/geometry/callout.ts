// Where a box beside a point goes: where it covers least of what the point is joined to.

import type { Size } from "./brand.ts";
import { segmentMeets, upright } from "./oriented.ts";

type Point = readonly [number, number];

/** Distance from the point [px]. */
const AWAY = 20;
/** Strip kept free along the window's edge [px]. */
const EDGE = 8;

/** Costs of covering the point, of covering the way to it, and of standing far off. */
const ON_POINT = 4;
const ON_WAY = 2;
const FAR = 1;

/**
 * The left upper corner of a box of a size for a point: right or left of it, below or above, held inside the window; or,
 * if all of those cover the point or the way to it from `from`, a corner of the window. The first of equals is taken.
 */
export function cornerFor(
  at: Point,
  from: Point | null,
  box: Size,
  window: Size,
): { left: number; top: number } {
  const hold = (value: number, most: number): number => Math.max(EDGE, Math.min(value, most - EDGE));
  const right = window.width - box.width;
  const bottom = window.height - box.height;
  const across = [hold(at[0] + AWAY, right), hold(at[0] - AWAY - box.width, right)];
  const down = [hold(at[1] + AWAY, bottom), hold(at[1] - AWAY - box.height, bottom)];
  const places = [
    ...down.flatMap((top) => across.map((left) => ({ left, top, cost: 0 }))),
    ...[hold(bottom, bottom), EDGE].flatMap((top) =>
      [hold(right, right), EDGE].map((left) => ({ left, top, cost: FAR })),
    ),
  ];
  let best = { left: EDGE, top: EDGE, cost: Infinity };
  for (const { left, top, cost } of places) {
    const shape = upright(left + box.width / 2, top + box.height / 2, box.width + 12, box.height + 12);
    const isOn = Math.abs(shape.x - at[0]) < shape.w / 2 && Math.abs(shape.y - at[1]) < shape.h / 2;
    const isOnWay = from !== null && segmentMeets(shape, at, from);
    const whole = cost + (isOn ? ON_POINT : 0) + (isOnWay ? ON_WAY : 0);
    if (whole < best.cost) best = { left, top, cost: whole };
  }
  return { left: best.left, top: best.top };
}
