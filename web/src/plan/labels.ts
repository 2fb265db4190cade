// The labels of one sheet: what each says, where it may stand and how much it matters. `placeLabels` decides. All in
// pixels of the drawing.

import { stretches } from "../geometry/along.ts";
import type { Size } from "../geometry/brand.ts";
import { Buckets } from "../geometry/buckets.ts";
import { areaText } from "../geometry/format.ts";
import { hull, type Oriented, segmentMeets, upright } from "../geometry/oriented.ts";
import {
  type Candidate,
  type LabelRequest,
  type Obstacle,
  type Placement,
  placeLabels,
  type SoftLine,
} from "../geometry/placement.ts";
import { boxOf, clearestPoint, inArea, inRing, type Ring } from "../geometry/polygon.ts";
import type { UnitSystem } from "../geometry/scale.ts";
import { type Face, inTwoLines, LINE_HEIGHT, textWidth } from "../geometry/text.ts";
import type { Keynote, Outlet, Room, Selection } from "./contract.ts";
import type { Isoline } from "./coverage.ts";
import { levelText } from "./coverage.ts";
import type { Spot } from "./spots.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

export const faces = {
  room: { family: "text", weight: 600, size: 13 },
  roomSmall: { family: "text", weight: 600, size: 11 },
  area: { family: "text", weight: 400, size: 11 },
  tag: { family: "text", weight: 500, size: 11 },
  contour: { family: "figure", weight: 400, size: 10.5 },
  target: { family: "text", weight: 600, size: 11 },
  object: { family: "text", weight: 400, size: 10 },
  note: { family: "text", weight: 600, size: 11.5 },
  title: { family: "text", weight: 600, size: 13 },
} as const satisfies Record<string, Face>;

/** What matters more goes first. */
const PRIORITY = {
  keynote: 100,
  spot: 90,
  tag: 80,
  room: 70,
  target: 65,
  line: 60,
  stair: 50,
  contour: 40,
  object: 20,
  outlet: 10,
};

/** Half the size of a keynote, of a part's symbol and of an outlet's [px]. */
export const KEYNOTE_RADIUS = 11;
export const PART_RADIUS = 10;
export const OUTLET_RADIUS = 6;
/** Row of a list of parts in one place [px]. */
export const ROW_HEIGHT = 22;

export type Label =
  | { readonly kind: "room"; readonly room: Room; readonly forms: readonly RoomForm[] }
  | {
      readonly kind: "contour";
      readonly line: Isoline;
      readonly text: string;
      readonly gap: readonly (readonly [number, number])[];
    }
  | { readonly kind: "tag"; readonly text: string; readonly quiet: boolean; readonly face?: Face }
  | { readonly kind: "keynote"; readonly keynote: Keynote }
  | { readonly kind: "spot"; readonly spot: Spot };

export interface RoomForm {
  readonly lines: readonly { readonly text: string; readonly face: Face }[];
  readonly turned: boolean;
}

export interface SheetLabels extends Placement {
  readonly labels: ReadonlyMap<string, Label>;
}

export interface LabelInput {
  readonly rooms: readonly Room[];
  readonly units: UnitSystem;
  readonly size: Size;
  /** From plan to the drawing. */
  readonly project: (p: Point) => Point;
  readonly lines: readonly Isoline[];
  readonly spots: readonly Spot[];
  readonly keynotes: readonly Keynote[];
  readonly outlets: readonly Outlet[];
  readonly objects: readonly { readonly id: string; readonly name: string; readonly outline: Ring }[];
  readonly stairs: readonly { readonly id: string; readonly at: Point; readonly text: string }[];
  readonly demarcation: Point | null;
  /** What is cut, in pixels: labels stay off it. */
  readonly solids: readonly Ring[];
  readonly obstacles: readonly Obstacle[];
  readonly soft: readonly SoftLine[];
  readonly selected: Selection | null;
  /** The storey's name, where more than one is shown. */
  readonly title?: {
    readonly text: string /** Where it may stand to the left of, best first. */;
    readonly corners: readonly Point[];
  };
}

/** Free strip along the sheet's edge [px]. */
const EDGE = 4;

/** Collects and places every label of a sheet. */
export function sheetLabels(input: LabelInput): SheetLabels {
  const labels = new Map<string, Label>();
  const requests: LabelRequest[] = [];
  const add = (id: string, label: Label, priority: number, candidates: readonly Candidate[]): void => {
    labels.set(id, label);
    requests.push({ id, priority, candidates, ignoresLines: label.kind === "keynote" });
  };
  const outlines = input.rooms.map((room) => ({
    outline: room.outline.map(input.project),
    holes: room.holes.map((hole) => hole.map(input.project)),
  }));
  const edges = new Buckets<readonly [Point, Point]>();
  for (const ring of [...outlines.flatMap(({ outline, holes }) => [outline, ...holes]), ...input.solids]) {
    for (const [a, b] of segmentsOf(ring)) edges.add(boxOf([a, b]), [a, b]);
  }
  const shapes = new Buckets<Ring>();
  for (const ring of input.solids) shapes.add(boxOf(ring), ring);
  const isClear = (box: Oriented): boolean => {
    const around = hull(box);
    return (
      !edges.some(around, ([a, b]) => segmentMeets(box, a, b)) &&
      !shapes.some(around, (ring) => inRing([box.x, box.y], ring))
    );
  };
  /** True if no wall is between a thing and its label, or a leader leads over it. */
  const isWith = (at: Point, c: Candidate): boolean =>
    c.leader !== undefined ||
    !edges.some(boxOf([at, [c.box.x, c.box.y]]), ([a, b]) => crosses(at, [c.box.x, c.box.y], a, b));

  for (const keynote of input.keynotes) {
    add(
      `keynote:${keynote.id}`,
      { kind: "keynote", keynote },
      PRIORITY.keynote,
      around(input.project(keynote.at), input.obstacles),
    );
  }
  for (const spot of input.spots) {
    const isList = spot.parts.length > 1;
    const first = spot.parts[0]?.tag ?? "";
    const label: Label = isList ? { kind: "spot", spot } : { kind: "tag", text: first, quiet: false };
    const places = isList
      ? listPlaces(spot)
      : beside(spot.screen, PART_RADIUS, ...tagSize(first, faces.tag), TAG_REACHES);
    const own = spot.parts.find((drawn) => drawn.part)?.part?.room;
    const isElsewhere = ({ box }: Candidate): boolean =>
      outlines.some(
        ({ outline, holes }, i) => input.rooms[i]?.id !== own && inArea([box.x, box.y], outline, holes),
      );
    // In its own room or outside the building it is clear whose parts these are.
    const kept = places.map((c) => ({
      ...c,
      cost: c.cost + (isClear(c.box) ? 0 : ON_WALL) + (isElsewhere(c) ? ELSEWHERE : 0),
    }));
    add(`spot:${spot.id}`, label, isList ? PRIORITY.spot : PRIORITY.tag, kept);
  }
  if (input.title) {
    const { text, corners } = input.title;
    const w = textWidth(text, faces.title) + 4;
    const h = faces.title.size * LINE_HEIGHT;
    const places = corners.flatMap(([x, y], corner) =>
      [8, 20, 36].flatMap((away) =>
        [-h, 0, h].map((lower) => {
          const box = upright(x - away - w / 2, y + lower, w, h);
          return { box, cost: away + corner * 4 + Math.abs(lower) / 8 + (isClear(box) ? 0 : ON_WALL) };
        }),
      ),
    );
    add("title", { kind: "tag", text, quiet: false, face: faces.title }, PRIORITY.keynote, places);
  }
  for (const room of input.rooms) {
    const forms = roomForms(room, input.units);
    add(
      `room:${room.id}`,
      { kind: "room", room, forms },
      PRIORITY.room,
      roomPlaces(room, forms, input.project, isClear),
    );
  }
  for (const line of input.lines) {
    const face = line.isTarget ? faces.target : faces.contour;
    const text = line.isTarget ? words.target : levelText(line.level);
    const width = textWidth(text, face) + 8;
    const points = line.points.map(input.project);
    const found = stretches(points, width, line.isTarget ? 8 : 14, line.isTarget ? 14 : 26, 2.5);
    const middle = (found.length - 1) / 2;
    const candidates = found
      .map((s, i) => ({
        box: { x: s.at[0], y: s.at[1], w: width, h: face.size + 3, angle: s.angle },
        // Flat, straight and near the middle of the line reads best.
        cost: s.stray + Math.abs(i - middle) / (found.length + 1) + 2 * Math.abs(Math.sin(s.angle)),
        form: i,
      }))
      .filter(({ box }) => isClear(box));
    const gap = found.map((s) => [s.from, s.to] as const);
    add(
      `line:${line.id}`,
      { kind: "contour", line, text, gap },
      line.isTarget ? PRIORITY.target : PRIORITY.contour,
      candidates,
    );
  }
  const tag = (
    id: string,
    text: string,
    at: Point,
    reach: number,
    priority: number,
    face: Face,
    quiet: boolean,
  ): void => {
    const [w, h] = tagSize(text, face);
    add(
      id,
      { kind: "tag", text, quiet },
      priority,
      beside(at, reach, w, h, TAG_REACHES).filter((c) => isClear(c.box) && isWith(at, c)),
    );
  };
  if (input.demarcation)
    tag("demarcation", words.demarcation, input.demarcation, 9, PRIORITY.line, faces.tag, false);
  for (const stair of input.stairs) {
    const [w, h] = tagSize(stair.text, faces.object);
    const box = upright(stair.at[0], stair.at[1], w, h);
    const others = beside(stair.at, 4, w, h, [2, 8]);
    add(
      `stair:${stair.id}`,
      { kind: "tag", text: stair.text, quiet: true },
      PRIORITY.stair,
      [{ box, cost: 0 }, ...others].filter((c) => isClear(c.box)),
    );
  }
  for (const object of input.objects) {
    const { at } = clearestPoint(object.outline);
    const [w, h] = tagSize(object.name, faces.object);
    const [x, y] = input.project(at);
    const candidates: Candidate[] = [
      { box: upright(x, y, w, h), cost: 0 },
      ...beside([x, y], 8, w, h, [3]).map((c) => ({ box: c.box, cost: c.cost + 5 })),
    ];
    add(
      `object:${object.id}`,
      { kind: "tag", text: object.name, quiet: true },
      PRIORITY.object,
      candidates.filter((c) => isClear(c.box) && isWith([x, y], c)),
    );
  }
  for (const outlet of input.outlets) {
    const chosen = input.selected?.kind === "outlet" && input.selected.id === outlet.id;
    if (!chosen && (outlet.kind === "mains" || outlet.id.length > 10)) continue;
    tag(
      `outlet:${outlet.id}`,
      outlet.id,
      input.project(outlet.at),
      OUTLET_RADIUS,
      chosen ? PRIORITY.spot : PRIORITY.outlet,
      faces.object,
      !chosen,
    );
  }
  const sheet = { minX: EDGE, minY: EDGE, maxX: input.size.width - EDGE, maxY: input.size.height - EDGE };
  const placement = placeLabels({
    labels: requests,
    obstacles: input.obstacles,
    lines: input.soft,
    sheet,
    gap: 2,
  });
  return { ...placement, labels };
}

/** True if two segments cross. */
function crosses(a: Point, b: Point, c: Point, d: Point): boolean {
  const side = (p: Point, q: Point, r: Point): number =>
    (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}

const segmentsOf = (ring: Ring): [Point, Point][] =>
  ring.map((p, i) => [p, ring[(i + 1) % ring.length] ?? p]);

const tagSize = (text: string, face: Face): [number, number] => [
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

function listPlaces(spot: Spot): Candidate[] {
  return [0, SYMBOLS_ONLY].flatMap((form) => {
    const [w, h] = spotSize(spot, form);
    return beside(spot.screen, 5, w, h, SPOT_REACHES, MORE_DIRECTIONS).map((c) => ({
      ...c,
      form,
      cost: c.cost + form * 30,
    }));
  });
}

const TAG_REACHES = [3, 12, 24];
/** Cost of standing on a wall, for what has to stand somewhere. */
const ON_WALL = 60;
/** Cost of standing in a room that is not one's own. */
const ELSEWHERE = 40;
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

const MORE_DIRECTIONS: readonly Point[] = [
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
function beside(
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
function around(at: Point, obstacles: readonly Obstacle[]): Candidate[] {
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

function roomForms(room: Room, units: UnitSystem): RoomForm[] {
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
function roomPlaces(
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

interface RoomPoints {
  readonly clearest: Point;
  readonly lattice: readonly Point[];
  readonly span: number;
}

/** Points inside a room, in metres; they do not depend on the view and are found once. */
const pointsOfRooms = new WeakMap<Room, RoomPoints>();

function roomPoints(room: Room): RoomPoints {
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
