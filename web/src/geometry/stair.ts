// The lines of a stair in plan [m]. The job gives a stair's outline and the storeys that it joins; the direction is read
// from what is around it: one goes onto a stair from the end with more free floor before it.

import { type Ring, rayLength } from "./polygon.ts";

type Point = readonly [number, number];

/** Going of a tread and rise of a step that treads are counted with [m] (generic figures of a private stair). */
const GOING = 0.25;
const RISE = 0.18;
/** Height at which a storey's plan is cut [m]. */
const CUT = 1.2;

export interface StairLines {
  /** Lines across the flight that are below the cut and seen whole. */
  readonly treads: readonly (readonly [Point, Point])[];
  /** Lines above the cut: hidden from below. */
  readonly hidden: readonly (readonly [Point, Point])[];
  /** The walking line, from the end where one enters on this storey. */
  readonly walk: readonly Point[];
  /** The break where the plan cuts the flight, if it does. */
  readonly cut: readonly Point[];
}

/** The box around an outline, turned along its longest edge. */
function axes(outline: Ring): { origin: Point; u: Point; v: Point; length: number; width: number } | null {
  let u: Point = [0, 1];
  let longest = 0;
  for (let i = 0; i < outline.length; i++) {
    const [ax, ay] = outline[i] ?? [0, 0];
    const [bx, by] = outline[(i + 1) % outline.length] ?? [0, 0];
    const l = Math.hypot(bx - ax, by - ay);
    if (l > longest) {
      longest = l;
      u = [(bx - ax) / l, (by - ay) / l];
    }
  }
  if (longest === 0) return null;
  const v: Point = [-u[1], u[0]];
  const us = outline.map(([x, y]) => x * u[0] + y * u[1]);
  const vs = outline.map(([x, y]) => x * v[0] + y * v[1]);
  const u0 = Math.min(...us);
  const v0 = Math.min(...vs);
  return {
    origin: [u0 * u[0] + v0 * v[0], u0 * u[1] + v0 * v[1]],
    u,
    v,
    length: Math.max(...us) - u0,
    width: Math.max(...vs) - v0,
  };
}

/**
 * The lines of a stair as seen on one storey.
 *
 * `upward` is true on the storey where the flight starts. `around` are the outlines of the storey that the flight
 * starts on; both storeys must pass the same, so that the flight runs the same way on both sheets.
 */
export function stairLines(outline: Ring, around: readonly Ring[], upward: boolean): StairLines | null {
  const box = axes(outline);
  if (!box || box.length < 0.2 || box.width < 0.2) return null;
  const at = (a: number, b: number): Point => [
    box.origin[0] + box.u[0] * a + box.v[0] * b,
    box.origin[1] + box.u[1] * a + box.v[1] * b,
  ];
  const back: Point = [-box.u[0], -box.u[1]];
  const freeBefore = rayLength(at(0.01, box.width / 2), back, around);
  const freeBeyond = rayLength(at(box.length - 0.01, box.width / 2), box.u, around);
  const turned = freeBeyond > freeBefore + 1e-6;
  // From here on `a` runs up the flight from its foot.
  const foot = (a: number, b: number): Point => (turned ? at(box.length - a, box.width - b) : at(a, b));
  const half = box.width >= 1.5 && box.length / box.width < 2.2;
  return half ? halfTurn(foot, box.length, box.width, upward) : straight(foot, box.length, box.width, upward);
}

type Place = (a: number, b: number) => Point;

function straight(foot: Place, length: number, width: number, upward: boolean): StairLines {
  const count = Math.max(2, Math.round(length / GOING));
  const going = length / count;
  const stop = upward ? Math.min(length, (CUT / RISE) * going) : length;
  const treads: [Point, Point][] = [];
  const hidden: [Point, Point][] = [];
  for (let i = 1; i < count; i++) {
    const a = i * going;
    (a < stop ? treads : hidden).push([foot(a, 0), foot(a, width)]);
  }
  const cut = upward && stop < length - going ? breakLine(foot, stop + going / 2, width) : [];
  const end = upward ? Math.min(length - going * 0.6, length) : length - going * 0.5;
  const walk = [foot(going * 0.5, width / 2), foot(end, width / 2)];
  return { treads, hidden, cut, walk: upward ? walk : walk.reverse() };
}

function breakLine(foot: Place, a: number, width: number): Point[] {
  const lean = Math.min(0.35, width * 0.35);
  const m = width / 2;
  return [
    foot(a - lean / 2, 0),
    foot(a - 0.04, m - 0.05),
    foot(a + 0.1, m - 0.03),
    foot(a - 0.1, m + 0.03),
    foot(a + 0.04, m + 0.05),
    foot(a + lean / 2, width),
  ];
}

/** Two flights beside each other with a landing between them. */
function halfTurn(foot: Place, length: number, width: number, upward: boolean): StairLines {
  const flight = width / 2;
  const run = Math.max(GOING, length - flight);
  const count = Math.max(2, Math.round(run / GOING));
  const going = run / count;
  const treads: [Point, Point][] = [];
  const hidden: [Point, Point][] = [];
  for (let i = 1; i <= count; i++) {
    treads.push([foot(i * going, 0), foot(i * going, flight)]);
    (upward ? hidden : treads).push([foot(i * going, flight), foot(i * going, width)]);
  }
  treads.push([foot(0, flight), foot(run, flight)]);
  const turn = run + flight / 2;
  const walk = [
    foot(going * 0.5, flight / 2),
    foot(turn, flight / 2),
    foot(turn, flight * 1.5),
    foot(going * 0.5, flight * 1.5),
  ];
  return { treads, hidden, cut: [], walk: upward ? walk : walk.reverse() };
}
