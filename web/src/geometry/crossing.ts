// Where a straight path passes the elements of a plan.

import type { Ring } from "./polygon.ts";

type Point = readonly [number, number];

/** Positions along a→b (0 to 1) where it crosses the edges of a ring, in order. */
export function crossingsOf(a: Point, b: Point, ring: Ring, closed = true): number[] {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const found: number[] = [];
  const last = closed ? ring.length : ring.length - 1;
  for (let i = 0; i < last; i++) {
    const [cx, cy] = ring[i] ?? [0, 0];
    const [ex, ey] = ring[(i + 1) % ring.length] ?? [0, 0];
    const fx = ex - cx;
    const fy = ey - cy;
    const cross = dx * fy - dy * fx;
    if (Math.abs(cross) < 1e-12) continue;
    const t = ((cx - a[0]) * fy - (cy - a[1]) * fx) / cross;
    const u = ((cx - a[0]) * dy - (cy - a[1]) * dx) / cross;
    if (t >= 0 && t <= 1 && u >= 0 && u < 1 + (closed ? 0 : 1e-9)) found.push(t);
  }
  return found.sort((x, y) => x - y);
}
