// Polygons in plan: measures, tests, and clipping of lines. Rings are open (the last point is not the first again).

import type { Box } from "./brand.ts";

export type Ring = readonly (readonly [number, number])[];
type Point = readonly [number, number];

const ZERO: Point = [0, 0];
/** A point of a ring by any index, going round; rings are never empty where this is called. */
export const pointOf = (ring: Ring, index: number): Point =>
  ring[((index % ring.length) + ring.length) % ring.length] ?? ZERO;

/** Area with the sign of the turn: positive if counter-clockwise in plan. */
export function signedArea(ring: Ring): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i++) {
    const [ax, ay] = pointOf(ring, i);
    const [bx, by] = pointOf(ring, i + 1);
    sum += ax * by - bx * ay;
  }
  return sum / 2;
}

export function boxOf(points: Iterable<Point>): Box {
  let minX = Infinity;
  let minY = Infinity;
  let maxX = -Infinity;
  let maxY = -Infinity;
  for (const [x, y] of points) {
    if (x < minX) minX = x;
    if (y < minY) minY = y;
    if (x > maxX) maxX = x;
    if (y > maxY) maxY = y;
  }
  return minX > maxX ? { minX: 0, minY: 0, maxX: 0, maxY: 0 } : { minX, minY, maxX, maxY };
}

/** True if a point is inside a ring (even-odd). */
export function inRing([x, y]: Point, ring: Ring): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [ax, ay] = pointOf(ring, i);
    const [bx, by] = pointOf(ring, j);
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}

/** True if a point is inside an outline and in none of its holes. */
export const inArea = (p: Point, outline: Ring, holes: readonly Ring[] = []): boolean =>
  inRing(p, outline) && !holes.some((hole) => inRing(p, hole));

/** Distance from a point to a segment. */
export function distanceToSegment([px, py]: Point, [ax, ay]: Point, [bx, by]: Point): number {
  const dx = bx - ax;
  const dy = by - ay;
  const length2 = dx * dx + dy * dy;
  const t = length2 > 0 ? Math.min(1, Math.max(0, ((px - ax) * dx + (py - ay) * dy) / length2)) : 0;
  return Math.hypot(px - ax - t * dx, py - ay - t * dy);
}

/** Distance from a point to the nearest edge of a ring, with that edge. */
export function nearestEdge(p: Point, ring: Ring): { distance: number; from: Point; to: Point } {
  let best = { distance: Infinity, from: ZERO, to: ZERO };
  for (let i = 0; i < ring.length; i++) {
    const from = pointOf(ring, i);
    const to = pointOf(ring, i + 1);
    const distance = distanceToSegment(p, from, to);
    if (distance < best.distance) best = { distance, from, to };
  }
  return best;
}

/** How far along a ray the first edge is hit; infinity if none is. */
export function rayLength([ox, oy]: Point, [dx, dy]: Point, rings: readonly Ring[]): number {
  let nearest = Infinity;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const [ax, ay] = pointOf(ring, i);
      const [bx, by] = pointOf(ring, i + 1);
      const ex = bx - ax;
      const ey = by - ay;
      const cross = dx * ey - dy * ex;
      if (Math.abs(cross) < 1e-12) continue;
      const t = ((ax - ox) * ey - (ay - oy) * ex) / cross;
      const u = ((ax - ox) * dy - (ay - oy) * dx) / cross;
      if (t > 1e-9 && u >= -1e-9 && u <= 1 + 1e-9 && t < nearest) nearest = t;
    }
  }
  return nearest;
}

/**
 * The parts of a polyline that are inside an area. Each segment is cut at its crossings with the edges and a piece is
 * kept if its middle is inside, so a line that runs along an edge or ends on it is handled without special cases.
 */
export function clipLine(line: Ring, outline: Ring, holes: readonly Ring[] = []): [number, number][][] {
  const rings = [outline, ...holes];
  const kept: [number, number][][] = [];
  let open: [number, number][] | null = null;
  for (let i = 0; i + 1 < line.length; i++) {
    const a = pointOf(line, i);
    const b = pointOf(line, i + 1);
    const cuts = [0, ...crossings(a, b, rings), 1];
    for (let c = 0; c + 1 < cuts.length; c++) {
      const t0 = cuts[c] ?? 0;
      const t1 = cuts[c + 1] ?? 1;
      if (t1 - t0 < 1e-12) continue;
      const middle = (t0 + t1) / 2;
      if (!inArea(lerp(a, b, middle), outline, holes)) {
        open = null;
        continue;
      }
      if (!open) {
        open = [lerp(a, b, t0)];
        kept.push(open);
      }
      open.push(lerp(a, b, t1));
    }
  }
  return kept;
}

/** The runs of a polyline's segments that pass a test of their middle. */
export function runsWhere(line: Ring, isKept: (x: number, y: number) => boolean): Ring[] {
  const kept: Point[][] = [];
  let open: Point[] | null = null;
  for (let i = 0; i + 1 < line.length; i++) {
    const a = pointOf(line, i);
    const b = pointOf(line, i + 1);
    if (!isKept((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) {
      open = null;
      continue;
    }
    if (!open) {
      open = [a];
      kept.push(open);
    }
    open.push(b);
  }
  return kept;
}

/** The parts of a polyline that are not in certain cells of a grid; each segment is cut where it leaves a cell. */
export function withoutCells(
  line: Ring,
  origin: Point,
  cell: number,
  isOut: (x: number, y: number) => boolean,
): [number, number][][] {
  const kept: [number, number][][] = [];
  let open: [number, number][] | null = null;
  for (let i = 0; i + 1 < line.length; i++) {
    const a = pointOf(line, i);
    const b = pointOf(line, i + 1);
    const cuts = [0, 1];
    for (const axis of [0, 1] as const) {
      const from = (a[axis] - origin[axis]) / cell;
      const to = (b[axis] - origin[axis]) / cell;
      for (let n = Math.ceil(Math.min(from, to)); n <= Math.floor(Math.max(from, to)); n++) {
        const t = (n - from) / (to - from);
        if (t > 0 && t < 1) cuts.push(t);
      }
    }
    cuts.sort((p, q) => p - q);
    for (let c = 0; c + 1 < cuts.length; c++) {
      const t0 = cuts[c] ?? 0;
      const t1 = cuts[c + 1] ?? 1;
      const [x, y] = lerp(a, b, (t0 + t1) / 2);
      if (isOut(x, y)) {
        open = null;
        continue;
      }
      if (!open) {
        open = [lerp(a, b, t0)];
        kept.push(open);
      }
      open.push(lerp(a, b, t1));
    }
  }
  return kept;
}

const lerp = (a: Point, b: Point, t: number): [number, number] => [
  a[0] + (b[0] - a[0]) * t,
  a[1] + (b[1] - a[1]) * t,
];

function crossings([ax, ay]: Point, [bx, by]: Point, rings: readonly Ring[]): number[] {
  const found: number[] = [];
  const dx = bx - ax;
  const dy = by - ay;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const [cx, cy] = pointOf(ring, i);
      const [ex, ey] = pointOf(ring, i + 1);
      const fx = ex - cx;
      const fy = ey - cy;
      const cross = dx * fy - dy * fx;
      if (Math.abs(cross) < 1e-15) continue;
      const t = ((cx - ax) * fy - (cy - ay) * fx) / cross;
      const u = ((cx - ax) * dy - (cy - ay) * dx) / cross;
      if (t > 0 && t < 1 && u >= 0 && u <= 1) found.push(t);
    }
  }
  return found.sort((a, b) => a - b);
}

/** A line without the points that matter less than `tolerance` (Douglas and Peucker, 1973). */
export function simplified(line: Ring, tolerance: number): Ring {
  if (line.length < 3) return line;
  const keep = new Uint8Array(line.length);
  keep[0] = 1;
  keep[line.length - 1] = 1;
  const stack: [number, number][] = [[0, line.length - 1]];
  for (let span = stack.pop(); span; span = stack.pop()) {
    const [from, to] = span;
    let worst = -1;
    let distance = tolerance;
    for (let i = from + 1; i < to; i++) {
      const d = distanceToSegment(pointOf(line, i), pointOf(line, from), pointOf(line, to));
      if (d > distance) {
        distance = d;
        worst = i;
      }
    }
    if (worst > 0) {
      keep[worst] = 1;
      stack.push([from, worst], [worst, to]);
    }
  }
  return line.filter((_, i) => keep[i] === 1);
}

/**
 * The middle of the widest clear place in an area: the centre of the largest inscribed circle to within `precision`,
 * found by quartering squares, the most promising first.
 */
export function clearestPoint(
  outline: Ring,
  holes: readonly Ring[] = [],
  precision = 0.05,
): { at: [number, number]; clear: number } {
  const box = boxOf(outline);
  const side = Math.min(box.maxX - box.minX, box.maxY - box.minY);
  const clearAt = (x: number, y: number): number => {
    let d = Infinity;
    for (const ring of [outline, ...holes]) d = Math.min(d, nearestEdge([x, y], ring).distance);
    return inArea([x, y], outline, holes) ? d : -d;
  };
  let best = {
    at: [(box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2] as [number, number],
    clear: -Infinity,
  };
  best.clear = clearAt(best.at[0], best.at[1]);
  if (!(side > 0)) return best;
  let squares: { x: number; y: number; half: number; clear: number }[] = [];
  const half = side / 2;
  for (let x = box.minX; x < box.maxX; x += side) {
    for (let y = box.minY; y < box.maxY; y += side) {
      squares.push({ x: x + half, y: y + half, half, clear: clearAt(x + half, y + half) });
    }
  }
  for (let round = 0; squares.length > 0 && round < 4000; round++) {
    squares.sort((a, b) => a.clear + a.half * Math.SQRT2 - (b.clear + b.half * Math.SQRT2));
    const square = squares.pop();
    if (!square) break;
    if (square.clear > best.clear + 1e-9) best = { at: [square.x, square.y], clear: square.clear };
    if (square.clear + square.half * Math.SQRT2 - best.clear <= precision) break;
    const h = square.half / 2;
    for (const [sx, sy] of [
      [-1, -1],
      [1, -1],
      [-1, 1],
      [1, 1],
    ] as const) {
      const x = square.x + sx * h;
      const y = square.y + sy * h;
      squares.push({ x, y, half: h, clear: clearAt(x, y) });
    }
    if (squares.length > 400) squares = squares.slice(-400);
  }
  return best;
}
