// Where a box beside a point goes: where it covers least of what the point is joined to.

import type { Size } from "./brand.ts";
import { segmentMeets, upright } from "./oriented.ts";

type Point = readonly [number, number];

/** Distance from the point [px]. */
const AWAY = 20;
/** Strip kept free along the window's edge [px]. */
const EDGE = 8;

/**
 * The left upper corner of a box of a size beside a point: right or left of it, below or above, held inside the window.
 * Of the four the one that does not cover the way from `from` to the point, nor the point, is taken; the first of equals.
 */
export function cornerFor(
  at: Point,
  from: Point | null,
  box: Size,
  window: Size,
): { left: number; top: number } {
  const hold = (value: number, most: number): number => Math.max(EDGE, Math.min(value, most - EDGE));
  let best = { left: EDGE, top: EDGE, cost: Infinity };
  for (const below of [true, false]) {
    for (const right of [true, false]) {
      const left = hold(right ? at[0] + AWAY : at[0] - AWAY - box.width, window.width - box.width);
      const top = hold(below ? at[1] + AWAY : at[1] - AWAY - box.height, window.height - box.height);
      const shape = upright(left + box.width / 2, top + box.height / 2, box.width + 12, box.height + 12);
      const isOn = Math.abs(shape.x - at[0]) < shape.w / 2 && Math.abs(shape.y - at[1]) < shape.h / 2;
      const isOnWay = from !== null && segmentMeets(shape, at, from);
      const cost = (isOn ? 4 : 0) + (isOnWay ? 2 : 0);
      if (cost < best.cost) best = { left, top, cost };
    }
  }
  return { left: best.left, top: best.top };
}
