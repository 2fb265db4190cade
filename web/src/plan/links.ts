// Links of a design as lines on one storey, where nobody knows how they run: cables square to the sheet from the part
// nearer to the line, and radio straight. It is a schema of what is joined, not of where it runs.

import type { Design, PlacedPart } from "./contract.ts";

type Point = readonly [number, number];

export interface DrawnLink {
  readonly id: string;
  readonly over: "cable" | "radio";
  readonly points: readonly Point[];
}

/** A place where a link goes to another storey [plan]. */
export interface Riser {
  readonly at: Point;
  readonly up: boolean;
}

export interface StoreyLinks {
  readonly links: readonly DrawnLink[];
  readonly risers: readonly Riser[];
  /** Links to things that are not parts of the design, such as devices: their places are not known here. */
  readonly numNotDrawn: number;
}

const NONE: ReadonlySet<string> = new Set();

/** Links of a design on the storey that holds `here`, without those whose way is known. */
export function linksOn(
  design: Design | undefined,
  here: readonly PlacedPart[],
  routed: ReadonlySet<string> = NONE,
): StoreyLinks {
  const links: DrawnLink[] = [];
  const risers = new Map<string, Riser>();
  let numNotDrawn = 0;
  if (!design) return { links, risers: [], numNotDrawn };
  const parts = new Map(design.parts.map((part) => [part.id, part]));
  const onThis = new Set(here.map((part) => part.id));
  for (const link of design.links ?? []) {
    if (link.medium.over === "cord" || routed.has(link.id)) continue;
    const from = parts.get(link.from);
    const to = parts.get(link.to);
    if (!from || !to) {
      if (from && onThis.has(from.id)) numNotDrawn++;
      continue;
    }
    const over = link.medium.over;
    const starts = onThis.has(from.id);
    const ends = onThis.has(to.id);
    if (!starts && !ends) continue;
    const a: Point = [from.at[0], from.at[1]];
    const b: Point = [to.at[0], to.at[1]];
    if (starts !== ends) {
      const up = to.at[2] > from.at[2] === starts;
      // Cables rise where they begin; radio goes straight.
      risers.set(`${a[0]},${a[1]},${up}`, { at: a, up });
      if (starts) continue;
    }
    links.push({ id: link.id, over, points: over === "radio" ? [a, b] : square(a, b) });
  }
  return { links, risers: [...risers.values()], numNotDrawn };
}

function square(a: Point, b: Point): Point[] {
  const near = 0.05;
  if (Math.abs(a[0] - b[0]) < near || Math.abs(a[1] - b[1]) < near) return [a, b];
  return [a, [b[0], a[1]], b];
}

/** The point halfway along a line. */
export function middleOf(points: readonly Point[]): Point | null {
  const lengths = points.slice(1).map((p, i) => {
    const [x, y] = points[i] ?? p;
    return Math.hypot(p[0] - x, p[1] - y);
  });
  let left = lengths.reduce((sum, length) => sum + length, 0) / 2;
  for (const [i, length] of lengths.entries()) {
    const [a, b] = [points[i], points[i + 1]];
    if (!a || !b) break;
    if (left <= length && length > 0) {
      const share = left / length;
      return [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
    }
    left -= length;
  }
  return points[0] ?? null;
}
