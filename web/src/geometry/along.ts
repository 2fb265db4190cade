// Places for a label along a line, and the line with a gap for it. Works in any unit; labels use pixels.

import type { Radians } from "./brand.ts";
import type { Ring } from "./polygon.ts";

type Point = readonly [number, number];

/** A stretch of a line on which a label can stand. */
export interface Stretch {
  readonly at: Point;
  /** Turn of the label so that it follows the line and is never upside down. */
  readonly angle: Radians;
  /** Where the stretch begins and ends, along the line. */
  readonly from: number;
  readonly to: number;
  /** How far the line strays from the label's middle line. */
  readonly stray: number;
}

/** Lengths along a line up to each of its points. */
export function measured(line: Ring): number[] {
  const lengths = [0];
  for (let i = 1; i < line.length; i++) {
    const [ax, ay] = line[i - 1] ?? [0, 0];
    const [bx, by] = line[i] ?? [0, 0];
    lengths.push((lengths[i - 1] ?? 0) + Math.hypot(bx - ax, by - ay));
  }
  return lengths;
}

/** The point at a length along a line. */
export function pointAlong(line: Ring, lengths: readonly number[], s: number): Point {
  let low = 0;
  let high = lengths.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((lengths[middle] ?? 0) <= s) low = middle;
    else high = middle;
  }
  const [ax, ay] = line[low] ?? [0, 0];
  const [bx, by] = line[high] ?? [ax, ay];
  const span = (lengths[high] ?? 0) - (lengths[low] ?? 0);
  const t = span > 0 ? Math.min(1, Math.max(0, (s - (lengths[low] ?? 0)) / span)) : 0;
  return [ax + (bx - ax) * t, ay + (by - ay) * t];
}

/**
 * Where a label `width` long can stand on a line: stretches `step` apart that keep `margin` to the line's ends and stray
 * from a straight line by at most `most`; none on a line shorter than three labels. y runs down, as on a screen.
 */
export function stretches(line: Ring, width: number, margin: number, step: number, most: number): Stretch[] {
  const lengths = measured(line);
  const total = lengths[lengths.length - 1] ?? 0;
  if (total < Math.max(3 * width, width + 2 * margin)) return [];
  const found: Stretch[] = [];
  const count = Math.max(1, Math.floor((total - width - 2 * margin) / step));
  for (let i = 0; i <= count; i++) {
    const from = margin + ((total - width - 2 * margin) * i) / count;
    const to = from + width;
    const a = pointAlong(line, lengths, from);
    const b = pointAlong(line, lengths, to);
    const chord = Math.hypot(b[0] - a[0], b[1] - a[1]);
    if (chord < width * 0.9) continue;
    let stray = 0;
    for (let n = 1; n < 6; n++) {
      const p = pointAlong(line, lengths, from + (width * n) / 6);
      stray = Math.max(
        stray,
        Math.abs((b[0] - a[0]) * (a[1] - p[1]) - (a[0] - p[0]) * (b[1] - a[1])) / chord,
      );
    }
    if (stray > most) continue;
    const middle = pointAlong(line, lengths, (from + to) / 2);
    found.push({ at: middle, angle: readable(Math.atan2(b[1] - a[1], b[0] - a[0])), from, to, stray });
  }
  return found;
}

/** An angle turned by half a turn if a text along it would stand on its head; straight up reads from below. */
export function readable(angle: Radians): Radians {
  if (angle > Math.PI / 2 - 1e-9) return angle - Math.PI;
  if (angle <= -Math.PI / 2 - 1e-9) return angle + Math.PI;
  return angle;
}

/** A line without the piece from one length to another. */
export function withGap(line: Ring, from: number, to: number): Ring[] {
  const lengths = measured(line);
  const before: Point[] = [];
  const after: Point[] = [];
  line.forEach((p, i) => {
    const s = lengths[i] ?? 0;
    if (s < from) before.push(p);
    else if (s > to) after.push(p);
  });
  const kept: Ring[] = [];
  if (before.length > 0) kept.push([...before, pointAlong(line, lengths, from)]);
  if (after.length > 0) kept.push([pointAlong(line, lengths, to), ...after]);
  return kept;
}
