// Which way a thing at a wall faces.

import { nearestEdge, type Ring, signedArea } from "./polygon.ts";

/**
 * The direction away from the nearest edge of a ring at a point inside it, as a turn of the screen from upwards,
 * clockwise [°]. A point on the edge faces the ring's inside.
 */
export function turnFromWall(at: readonly [number, number], ring: Ring): number {
  const { from, to } = nearestEdge(at, ring);
  const dx = to[0] - from[0];
  const dy = to[1] - from[1];
  let nx = -dy;
  let ny = dx;
  let side = nx * (at[0] - from[0]) + ny * (at[1] - from[1]);
  if (Math.abs(side) < 1e-9 * (Math.hypot(dx, dy) || 1)) side = signedArea(ring) > 0 ? 1 : -1;
  if (side < 0) {
    nx = -nx;
    ny = -ny;
  }
  const turn = (Math.atan2(nx, ny) * 180) / Math.PI;
  return Object.is(turn, -0) ? 0 : turn;
}
