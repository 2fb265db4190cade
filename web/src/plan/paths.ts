// The paths of a probe: which of them are drawn and how strongly, where each runs on a storey, and what each meets, in
// words.

import { inArea } from "../geometry/polygon.ts";
import type { House, P3, PathCrossing, PathTurn, Probe, ProbeLeg, ProbePath, Storey } from "./contract.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

/** Paths that are drawn at once: more cannot be told apart. */
const MOST_DRAWN = 6;
/** A path that brings less than this share of the level is not drawn unless it is asked for. */
const LEAST_SHARE = 0.005;
/** A crossing that costs less is not marked: an open door, a gap [dB]. */
const LEAST_LOSS = 0.05;
/** Floors and ceilings mirror and cost in the middle of their build-up: so far out a point still belongs to the storey [m]. */
const SLACK = 0.3;
/** How far back along a path its room is looked for, beginning near what it meets [m]. */
const BACK = [0.1, 0.2, 0.4, 0.8];

const powerOf = (dbm: number): number => 10 ** (dbm / 10);

export interface DrawnPath {
  readonly path: ProbePath;
  /** Its place among the probe's paths. */
  readonly index: number;
  /** Share of the power of all paths, 0 to 1. */
  readonly share: number;
}

/** Share of the power of all paths that each path brings. */
export function sharesOf(probe: Probe): number[] {
  const powers = probe.paths.map((path) => powerOf(path.level_dbm));
  const rest = probe.others ? powerOf(probe.others.level_dbm) : 0;
  const all = powers.reduce((sum, power) => sum + power, rest);
  return powers.map((power) => (all > 0 ? power / all : 0));
}

/** The paths to draw, the weakest first so that stronger ones lie above; the chosen one is always among them. */
export function drawnPaths(probe: Probe, chosen: number | null): DrawnPath[] {
  const shares = sharesOf(probe);
  return probe.paths
    .map((path, index) => ({ path, index, share: shares[index] ?? 0 }))
    .filter(({ index, share }) => index === chosen || (index < MOST_DRAWN && share >= LEAST_SHARE))
    .sort((a, b) => Number(a.index === chosen) - Number(b.index === chosen) || b.index - a.index);
}

/** A piece of a path in plan, on the storey or on another one. */
export interface Piece {
  readonly points: readonly [Point, Point];
  readonly isHere: boolean;
}

const isOn = (z: number, storey: Storey): boolean =>
  z >= storey.floor_z - SLACK && z <= storey.ceiling_z + SLACK;

/** The pieces of a path in plan, parted where it goes through the storey's floor or ceiling. */
export function piecesOf(points: readonly P3[], storey: Storey): Piece[] {
  const found: Piece[] = [];
  for (let i = 0; i + 1 < points.length; i++) {
    const a = points[i];
    const b = points[i + 1];
    if (!a || !b) continue;
    const at = (t: number): P3 => [
      a[0] + (b[0] - a[0]) * t,
      a[1] + (b[1] - a[1]) * t,
      a[2] + (b[2] - a[2]) * t,
    ];
    const rise = b[2] - a[2];
    const cuts = [storey.floor_z - SLACK, storey.ceiling_z + SLACK]
      .map((z) => (rise === 0 ? -1 : (z - a[2]) / rise))
      .filter((t) => t > 0 && t < 1)
      .sort((x, y) => x - y);
    let from = 0;
    for (const to of [...cuts, 1]) {
      const [p, q, middle] = [at(from), at(to), at((from + to) / 2)];
      found.push({
        points: [
          [p[0], p[1]],
          [q[0], q[1]],
        ],
        isHere: isOn(middle[2], storey),
      });
      from = to;
    }
  }
  return found;
}

/** The crossings of a path that cost something, on a storey. */
export const lossesOn = (path: ProbePath, storey: Storey): PathCrossing[] =>
  path.crossings.filter(({ at, loss_db }) => loss_db >= LEAST_LOSS && isOn(at[2], storey));

export const turnsOn = (path: ProbePath, storey: Storey): PathTurn[] =>
  path.turns.filter(({ at }) => isOn(at[2], storey));

/** Something that a path meets on its way. */
export interface Met {
  readonly kind: "crossing" | PathTurn["kind"];
  /** What it is: a wall and its room, a door, a floor. */
  readonly what: string;
  /** What it is made of. */
  readonly made: string;
  readonly angle_deg: number;
  readonly loss_db: number;
}

/** All that a path meets and that costs something, in the order in which it does. */
export function metBy(path: ProbePath, house: House): Met[] {
  const met = [
    ...path.turns.map((turn) => ({ ...turn, along: alongOf(turn.at, path.points) })),
    ...path.crossings
      .filter(({ loss_db }) => loss_db >= LEAST_LOSS)
      .map((crossing) => ({
        ...crossing,
        kind: "crossing" as const,
        along: alongOf(crossing.at, path.points),
      })),
  ].sort((a, b) => a.along - b.along);
  return met.map(({ kind, element, label, at, along, angle_deg, loss_db }) => {
    const before = BACK.map((back) => pointAt(path.points, Math.max(0, along - back)));
    // The label of an edge says of what it is; that it is one is said by the kind.
    const what = nameOf(house, element, at, before) ?? label.replace(/^edge of /, "");
    return { kind, what, made: label, angle_deg, loss_db };
  });
}

/** A path in a few words: direct, or by which mirrors and edges. */
export function pathName(path: ProbePath, house: House): string {
  const met = metBy(path, house);
  const turns = met.filter(({ kind }) => kind !== "crossing");
  const through = met.length - turns.length;
  const way =
    turns.length === 0
      ? words.directPath
      : turns
          .map(({ kind, what }) => (kind === "reflection" ? words.mirror(what) : words.edge(what)))
          .join(", ");
  return through === 0 ? way : `${way}, ${words.through(through)}`;
}

/** What a step of the sum is called: an edge by what the plan calls its wall or opening, not by its id. */
export function legName(leg: ProbeLeg, probe: Probe, house: House): string {
  // The sum is that of the strongest path, which goes round one edge at most.
  const strongest = probe.paths[0];
  if (leg.element === null || !strongest) return leg.label;
  const edge = metBy(strongest, house).find(({ kind }) => kind === "diffraction");
  return edge ? leg.label.replace(`edge of ${leg.element},`, `edge of ${edge.what},`) : leg.label;
}

const distance = (a: P3, b: P3): number => Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);

/** How far along a path its point nearest to a place is [m]. */
function alongOf(place: P3, points: readonly P3[]): number {
  let best = { off: Infinity, along: 0 };
  let before = 0;
  for (let i = 0; i + 1 < points.length; i++) {
    const a = points[i];
    const b = points[i + 1];
    if (!a || !b) continue;
    const length = distance(a, b);
    const dot = [0, 1, 2].reduce(
      (sum, axis) => sum + ((place[axis] ?? 0) - (a[axis] ?? 0)) * ((b[axis] ?? 0) - (a[axis] ?? 0)),
      0,
    );
    const t = length > 0 ? Math.min(1, Math.max(0, dot / length ** 2)) : 0;
    const foot: P3 = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];
    const off = distance(foot, place);
    if (off < best.off - 1e-9) best = { off, along: before + t * length };
    before += length;
  }
  return best.along;
}

/** The point at a length along a path. */
function pointAt(points: readonly P3[], along: number): P3 {
  let left = along;
  for (let i = 0; i + 1 < points.length; i++) {
    const a = points[i];
    const b = points[i + 1];
    if (!a || !b) continue;
    const length = distance(a, b);
    if (left <= length && length > 0) {
      const t = left / length;
      return [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];
    }
    left -= length;
  }
  return points[points.length - 1] ?? [0, 0, 0];
}

/**
 * What an element is called by people, with the room that the path comes from; null if the plan does not draw it. `before`
 * is where the path is before it meets the element, the nearest first.
 */
function nameOf(house: House, element: string, at: P3, before: readonly P3[]): string | null {
  for (const storey of house.storeys) {
    const wall = storey.walls.find((w) => w.id === element);
    const opening = storey.openings.find((o) => o.id === element);
    const object = storey.objects.find((o) => o.id === element);
    if (object) return object.name;
    if (!wall && !opening) continue;
    const rooms = before.map(([x, y]) => storey.rooms.find((r) => inArea([x, y], r.outline, r.holes))?.name);
    const room = rooms.find((name) => name !== undefined) ?? null;
    return wall ? words.wallOf(wall.kind, room) : words.openingOf(opening?.kind ?? "gap", room);
  }
  const rise = at[2] - (before[0]?.[2] ?? at[2]);
  const isNear = (z: number): boolean => Math.abs(z - at[2]) <= SLACK;
  if (rise < 0 && house.storeys.some((storey) => isNear(storey.floor_z))) return words.floor;
  if (rise > 0 && house.storeys.some((storey) => isNear(storey.ceiling_z))) return words.ceiling;
  return null;
}
