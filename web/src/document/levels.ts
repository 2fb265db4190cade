/** On which storey's sheet a point in space is drawn, and what is around it. */

import { inArea } from "../geometry/polygon.ts";

type Point = readonly [number, number];
type Point3 = readonly [number, number, number];

/** Of a storey, what places are found by; rooms of the server's house and of the drawing alike. */
export interface Level {
  id: string;
  floor_z: number;
  rooms: readonly {
    id: string;
    name: string;
    outline: readonly Point[];
    holes: readonly (readonly Point[])[];
  }[];
}

/** A floor's own finish, and what numbers lose on the way [m]. */
const SLACK = 0.05;
/** How far beside a room a point still is of its storey, such as in a wall [m]. */
const BESIDE = 0.6;

const holds = (level: Level, at: Point): boolean =>
  level.rooms.some(({ outline, holes }) => inArea(at, outline, holes));

const around = (at: Point, reach: number): Point[] => [
  at,
  [at[0] + reach, at[1]],
  [at[0] - reach, at[1]],
  [at[0], at[1] + reach],
  [at[0], at[1] - reach],
];

/**
 * The storey that a point belongs to. What is between a ceiling and the floor above is of the storey below, from which
 * it is reached; what is below the ground is of the storey above it. Of storeys at much the same height, the one whose
 * rooms are there.
 */
export function levelOf<L extends Level>(
  levels: readonly L[],
  at: Point3,
  isBelowGround = false,
): L | undefined {
  const upwards = [...levels].sort((a, b) => a.floor_z - b.floor_z);
  const above = upwards.filter(({ floor_z }) => floor_z >= at[2] - SLACK);
  const below = upwards.filter(({ floor_z }) => floor_z <= at[2] + SLACK).reverse();
  const ordered = isBelowGround ? [...above, ...below] : [...below, ...above];
  const [first] = ordered;
  if (!first) return undefined;
  const near = ordered.filter(({ floor_z }) => Math.abs(floor_z - first.floor_z) < 2);
  const plan: Point = [at[0], at[1]];
  return (
    near.find((level) => holds(level, plan)) ??
    near.find((level) => around(plan, BESIDE).some((p) => holds(level, p))) ??
    first
  );
}

/** How far below its place a hole in a floor is looked at from: within the floor or under it [m]. */
const UNDER = 0.2;

/** The storey that a hole is drawn on; one in a floor is drilled from below. */
export function levelOfHole<L extends Level>(
  levels: readonly L[],
  { kind, at }: { kind: string; at: Point3 },
): L | undefined {
  return levelOf(levels, kind === "floor" ? [at[0], at[1], at[2] - UNDER] : at);
}

/** The names of the rooms around a point of a storey, within so many metres. */
export function roomsAround(level: Level, at: Point, reach: number): string[] {
  const found = new Set<string>();
  for (const p of around(at, reach)) {
    const room = level.rooms.find(({ outline, holes }) => inArea(p, outline, holes));
    if (room) found.add(room.name);
  }
  return [...found];
}

/** The room right above a point: on the lowest storey whose floor is above it. */
export function roomAbove(levels: readonly Level[], at: Point3): string | null {
  const above = levels
    .filter(({ floor_z }) => floor_z > at[2] - 0.4)
    .toSorted((a, b) => a.floor_z - b.floor_z)
    .find((level) => holds(level, [at[0], at[1]]));
  return above ? (roomsAround(above, [at[0], at[1]], 0)[0] ?? null) : null;
}
