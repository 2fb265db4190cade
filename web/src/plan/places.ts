// Where a label may stand: the places that `placeLabels` chooses among, each with its cost. All in pixels.

import { areaText } from "../geometry/format.ts";
import { type Oriented, segmentMeets, upright } from "../geometry/oriented.ts";
import type { Candidate, Obstacle } from "../geometry/placement.ts";
import { boxOf, clearestPoint, inArea, type Ring } from "../geometry/polygon.ts";
import type { UnitSystem } from "../geometry/scale.ts";
import { type Face, inTwoLines, LINE_HEIGHT, textWidth } from "../geometry/text.ts";
import type { Room } from "./contract.ts";
import { faces, KEYNOTE_RADIUS, PART_RADIUS, ROW_HEIGHT } from "./label-style.ts";
import type { Spot } from "./spots.ts";

type Point = readonly [number, number];

export interface RoomForm {
  readonly lines: readonly { readonly text: string; readonly face: Face }[];
  readonly turned: boolean;
}

export const segmentsOf = (ring: Ring): [Point, Point][] =>
  ring.map((p, i) => [p, ring[(i + 1) % ring.length] ?? p]);

export const tagSize = (text: string, face: Face): [number, number] => [
  textWidth(text, face) + 4,
  face.size * LINE_HEIGHT,
];

/** A list of parts is as wide as its widest row: symbol, space, tag. In its short form it is a row of symbols. */
export function spotSize(spot: Spot, form: number): [number, number] {
  if (form === SYMBOLS_ONLY) return [spot.parts.length * ROW_HEIGHT + 6, ROW_HEIGHT + 4];
  const widest = Math.max(...spot.parts.map((part) => textWidth(part.tag, faces.tag)));
  return [Math.ceil(widest + 2 * PART_RADIUS + 18), spot.parts.length * ROW_HEIGHT + 6];
}

/** The short form of a list of parts. */
export const SYMBOLS_ONLY = 1;

export function listPlaces(spot: Spot): Candidate[] {
  return [0, SYMBOLS_ONLY].flatMap((form) => {
    const [w, h] = spotSize(spot, form);
    return beside(spot.screen, 5, w, h, SPOT_REACHES, MORE_DIRECTIONS).map((c) => ({
      ...c,
      form,
      cost: c.cost + form * 30,
    }));
  });
}

export const TAG_REACHES = [3, 12, 24];
/** Cost of standing on a wall, for what has to stand somewhere. */
export const ON_WALL = 60;
/** Cost of standing in a room that is not one's own. */
export const ELSEWHERE = 40;
const SPOT_REACHES = [14, 28, 48, 80, 120];
/** Directions in which a label is tried, best first: right, left, below, above, then the corners. */
const DIRECTIONS: readonly Point[] = [
  [1, 0],
  [-1, 0],
  [0, 1],
  [0, -1],
  [1, -1],
  [1, 1],
  [-1, -1],
  [-1, 1],
];

export const MORE_DIRECTIONS: readonly Point[] = [
  ...DIRECTIONS,
  [1, 0.45],
  [1, -0.45],
  [-1, 0.45],
  [-1, -0.45],
  [0.45, 1],
  [0.45, -1],
  [-0.45, 1],
  [-0.45, -1],
];

/** Places beside a point; those further off get a leader. */
export function beside(
  at: Point,
  reach: number,
  w: number,
  h: number,
  distances: readonly number[],
  directions = DIRECTIONS,
): Candidate[] {
  return distances.flatMap((distance, ring) =>
    directions.map(([dx, dy], order) => {
      const slant = dx !== 0 && dy !== 0 ? Math.SQRT1_2 : 1;
      const away = (reach + distance) * slant;
      const x = at[0] + dx * (away + w / 2);
      const y = at[1] + dy * (away + h / 2);
      const box = upright(x, y, w, h);
      const cost = ring * 10 + order;
      if (distance < 8) return { box, cost };
      return { box, cost, leader: leaderTo(at, reach, box) };
    }),
  );
}

/** A line from the rim of a symbol to the nearest point of a label's box. */
function leaderTo(at: Point, reach: number, box: Oriented): readonly [Point, Point] {
  const x = Math.min(box.x + box.w / 2, Math.max(box.x - box.w / 2, at[0]));
  const y = Math.min(box.y + box.h / 2, Math.max(box.y - box.h / 2, at[1]));
  const length = Math.hypot(x - at[0], y - at[1]) || 1;
  const part = Math.min(1, reach / length);
  const back = Math.max(part, 1 - 1.5 / length);
  return [
    [at[0] + (x - at[0]) * part, at[1] + (y - at[1]) * part],
    [at[0] + (x - at[0]) * back, at[1] + (y - at[1]) * back],
  ];
}

/** Places of a keynote: on its point, else around it with a leader that begins outside what stands on the point. */
export function around(at: Point, obstacles: readonly Obstacle[]): Candidate[] {
  const size = 2 * KEYNOTE_RADIUS + 2;
  const under = obstacles.filter(
    ({ box }) => Math.abs(box.x - at[0]) < box.w / 2 && Math.abs(box.y - at[1]) < box.h / 2,
  );
  const found: Candidate[] = [{ box: upright(at[0], at[1], size, size), cost: 0 }];
  for (const distance of [26, 34, 44, 58, 76, 104, 140]) {
    for (let i = 0; i < 16; i++) {
      const angle = -Math.PI / 4 + (i * Math.PI) / 8;
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      const start = Math.max(0, ...under.map(({ box }) => exit(at, [c, s], box)));
      const end = distance - KEYNOTE_RADIUS - 2.5;
      const box = upright(at[0] + c * distance, at[1] + s * distance, size, size);
      const cost = distance + i * 0.1;
      if (end - start < 3) found.push({ box, cost });
      else
        found.push({
          box,
          cost,
          leader: [
            [at[0] + c * start, at[1] + s * start],
            [at[0] + c * end, at[1] + s * end],
          ],
        });
    }
  }
  return found;
}

/** How far a ray from inside an upright box runs before it leaves it, and a little more. */
function exit([x, y]: Point, [c, s]: Point, box: Oriented): number {
  const toX = c === 0 ? Infinity : (box.w / 2 - Math.sign(c) * (x - box.x)) / Math.abs(c);
  const toY = s === 0 ? Infinity : (box.h / 2 - Math.sign(s) * (y - box.y)) / Math.abs(s);
  return Math.min(toX, toY) + 1.5;
}

export function roomForms(room: Room, units: UnitSystem): RoomForm[] {
  const area = { text: areaText(room.area_m2, units), face: faces.area };
  const one = { text: room.name, face: faces.room };
  const two = inTwoLines(room.name, faces.room).map((text) => ({ text, face: faces.room }));
  const small = { text: room.name, face: faces.roomSmall };
  const smallTwo = inTwoLines(room.name, faces.roomSmall).map((text) => ({ text, face: faces.roomSmall }));
  return [
    { lines: [one, area], turned: false },
    { lines: [...two, area], turned: false },
    { lines: [one, area], turned: true },
    { lines: [...smallTwo, area], turned: false },
    { lines: [small, area], turned: true },
    { lines: [small], turned: false },
    { lines: smallTwo, turned: false },
    { lines: [small], turned: true },
  ];
}

export function formSize(form: RoomForm): [number, number] {
  const w = Math.max(...form.lines.map((line) => textWidth(line.text, line.face))) + 4;
  const h = form.lines.reduce((sum, line) => sum + line.face.size * LINE_HEIGHT, 0);
  return [w, h];
}

/** Points of a lattice on which a room's label is tried, at most. */
const LATTICE = 60;
/** Forms that are kept for a room: the best that fits anywhere and the next smaller ones. */
const FORMS = 3;

/** Places of a room's label: wholly inside the room, near its clearest point, on a lattice otherwise. */
export function roomPlaces(
  room: Room,
  forms: readonly RoomForm[],
  project: (p: Point) => Point,
  isClear: (box: Oriented) => boolean,
): Candidate[] {
  const { clearest, lattice, span } = roomPoints(room);
  const outline = room.outline.map(project);
  const edges = [outline, ...room.holes.map((hole) => hole.map(project))].flatMap(segmentsOf);
  const points = [clearest, ...lattice].map((p) => ({
    at: project(p),
    cost: (10 * Math.hypot(p[0] - clearest[0], p[1] - clearest[1])) / span,
  }));
  const [minX, maxX] = extremes(outline.map(([x]) => x));
  const [minY, maxY] = extremes(outline.map(([, y]) => y));
  const found: Candidate[] = [];
  let fitting = 0;
  forms.forEach((form, index) => {
    const [w, h] = formSize(form);
    if (fitting >= FORMS || (form.turned ? h : w) > maxX - minX || (form.turned ? w : h) > maxY - minY)
      return;
    const before = found.length;
    for (const { at, cost } of points) {
      const box: Oriented = { x: at[0], y: at[1], w, h, angle: form.turned ? -Math.PI / 2 : 0 };
      const padded = form.turned ? upright(at[0], at[1], h + 4, w + 8) : upright(at[0], at[1], w + 8, h + 4);
      if (edges.some(([a, b]) => segmentMeets(padded, a, b)) || !isClear(box)) continue;
      found.push({ box, cost: index * 6 + cost, form: index });
    }
    if (found.length > before) fitting++;
  });
  return found;
}

const extremes = (values: readonly number[]): [number, number] => [Math.min(...values), Math.max(...values)];

export interface RoomPoints {
  readonly clearest: Point;
  readonly lattice: readonly Point[];
  readonly span: number;
}

/** Points inside a room, in metres; they do not depend on the view and are found once. */
const pointsOfRooms = new WeakMap<Room, RoomPoints>();

export function roomPoints(room: Room): RoomPoints {
  const known = pointsOfRooms.get(room);
  if (known) return known;
  const { minX, minY, maxX, maxY } = boxOf(room.outline);
  const step = Math.sqrt(((maxX - minX) * (maxY - minY)) / LATTICE) || 1;
  const lattice: Point[] = [];
  for (let y = minY + step / 2; y < maxY; y += step) {
    for (let x = minX + step / 2; x < maxX; x += step) {
      if (inArea([x, y], room.outline, room.holes)) lattice.push([x, y]);
    }
  }
  const points = {
    clearest: clearestPoint(room.outline, room.holes).at,
    lattice,
    span: Math.hypot(maxX - minX, maxY - minY) || 1,
  };
  pointsOfRooms.set(room, points);
  return points;
}
