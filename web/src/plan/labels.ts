// The labels of one sheet: what each says, where it may stand and how much it matters. `placeLabels` decides. All in
// pixels of the drawing.

import { stretches } from "../geometry/along.ts";
import type { Size } from "../geometry/brand.ts";
import { Buckets } from "../geometry/buckets.ts";
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
import { type Face, LINE_HEIGHT, textWidth } from "../geometry/text.ts";
import type { Keynote, Outlet, Room, Selection } from "./contract.ts";
import { type Isoline, levelText } from "./coverage.ts";
import { faces, MARK_RADIUS, OUTLET_RADIUS, PART_RADIUS } from "./label-style.ts";
import {
  around,
  beside,
  ELSEWHERE,
  listPlaces,
  MORE_DIRECTIONS,
  ON_WALL,
  type RoomForm,
  roomForms,
  roomPlaces,
  segmentsOf,
  TAG_REACHES,
  tagSize,
} from "./places.ts";
import type { Spot } from "./spots.ts";
import { type CableLettering, cablePlaces } from "./wire-labels.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

/** What matters more goes first. */
const PRIORITY = {
  keynote: 100,
  spot: 90,
  tag: 80,
  room: 70,
  target: 65,
  line: 60,
  cable: 58,
  elsewhere: 55,
  stair: 50,
  contour: 40,
  object: 20,
  device: 15,
  outlet: 10,
};

export type Label =
  | { readonly kind: "room"; readonly room: Room; readonly forms: readonly RoomForm[] }
  | {
      readonly kind: "contour";
      readonly line: Isoline;
      readonly text: string;
      readonly gap: readonly (readonly [number, number])[];
    }
  | { readonly kind: "tag"; readonly text: string; readonly quiet: boolean; readonly face?: Face }
  /** Lines under each other, the first of them the name; the last form is the name alone. */
  | { readonly kind: "block"; readonly forms: readonly (readonly BlockLine[])[] }
  /** Along a cable, in one of its forms. */
  | { readonly kind: "cable"; readonly forms: readonly string[]; readonly isChosen: boolean }
  | { readonly kind: "keynote"; readonly keynote: Keynote }
  | { readonly kind: "spot"; readonly spot: Spot };

export interface BlockLine {
  readonly text: string;
  readonly face: Face;
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
  /** What is lettered beside a part, by its id. */
  readonly channels?: ReadonlyMap<string, readonly string[]> | undefined;
  /** Devices, and parts of other storeys, where they are on the drawing. */
  readonly marks?: readonly LabelledMark[];
  /** Cables, with what is lettered along them. */
  readonly cables?: readonly CableLettering[];
  readonly objects: readonly { readonly id: string; readonly name: string; readonly outline: Ring }[];
  /** Words at stairs: best at `at`, else beside `start`. */
  readonly stairs: readonly {
    readonly id: string;
    readonly at: Point;
    readonly start: Point;
    readonly text: string;
  }[];
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

/** A small mark with its name. */
export interface LabelledMark {
  readonly id: string;
  readonly text: string;
  readonly at: Point;
  readonly importance: "chosen" | "elsewhere" | "device";
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
    const lettering = isList ? undefined : input.channels?.get(spot.id);
    const forms = lettering ? blockForms(first, lettering) : [];
    const label: Label = isList
      ? { kind: "spot", spot }
      : lettering
        ? { kind: "block", forms }
        : { kind: "tag", text: first, quiet: false };
    const places = isList
      ? listPlaces(spot)
      : lettering
        ? blockPlaces(spot.screen, PART_RADIUS, forms, LETTERING_REACHES)
        : beside(spot.screen, PART_RADIUS, ...tagSize(first, faces.tag), TAG_REACHES);
    const own = spot.parts.find((drawn) => drawn.part)?.part?.room;
    const isElsewhere = ({ box }: Candidate): boolean =>
      outlines.some(
        ({ outline, holes }, i) => input.rooms[i]?.id !== own && inArea([box.x, box.y], outline, holes),
      );
    // In its own room or outside the building it is clear whose parts these are.
    const onWall = input.channels ? ON_WALL + LETTERS_ON_WALL : ON_WALL;
    const priced = (c: Candidate): Candidate => ({
      ...c,
      cost: c.cost + (isClear(c.box) ? 0 : onWall) + (isElsewhere(c) ? ELSEWHERE : 0),
    });
    add(`spot:${spot.id}`, label, isList ? PRIORITY.spot : PRIORITY.tag, places.map(priced));
    if (!isList) continue;
    for (const { id, tag } of spot.parts) {
      const lines = input.channels?.get(id);
      if (!lines) continue;
      const block = blockForms(tag, lines).slice(0, 1);
      const around = blockPlaces(spot.screen, BESIDE_DOT, block, BLOCK_REACHES);
      add(`channels:${id}`, { kind: "block", forms: block }, PRIORITY.tag, around.map(priced));
    }
  }
  for (const mark of input.marks ?? []) {
    const places = beside(mark.at, MARK_RADIUS, ...tagSize(mark.text, faces.object), MARK_REACHES);
    const isChosen = mark.importance === "chosen";
    add(
      `mark:${mark.id}`,
      { kind: "tag", text: mark.text, quiet: !isChosen, ...(isChosen ? { face: faces.tag } : {}) },
      isChosen ? PRIORITY.spot : PRIORITY[mark.importance === "device" ? "device" : "elsewhere"],
      isChosen
        ? beside(mark.at, MARK_RADIUS, ...tagSize(mark.text, faces.tag), BLOCK_REACHES)
        : places.filter((c) => isClear(c.box) && isWith(mark.at, c)),
    );
  }
  for (const cable of input.cables ?? []) {
    const { forms, isChosen } = cable;
    const places = cablePlaces(cable).map((c) => (isClear(c.box) ? c : { ...c, cost: c.cost + ON_WALL }));
    add(
      `cable:${cable.id}`,
      { kind: "cable", forms, isChosen },
      isChosen ? PRIORITY.spot : PRIORITY.cable,
      isChosen ? places : places.filter((c) => c.cost < ON_WALL),
    );
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
    const others = beside(stair.start, 2, w, h, [1, 6]);
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

/** Reaches of what is lettered beside a part in a list, and the clear space around the list's dot [px]. */
const BLOCK_REACHES = [6, 14, 28, 48, 80, 120, 160];
const LETTERING_REACHES = [3, 12, 24, 40, 64, 96, 140];
/** What it costs more than other labels to stand on a wall, for lines of small letters. */
const LETTERS_ON_WALL = 80;
const BESIDE_DOT = 9;
/** Of small marks; their names stand close by or not at all. */
const MARK_REACHES = [2, 9];
/** What leaving the lines out costs. */
const NAME_ALONE = 400;

function blockForms(name: string, lines: readonly string[]): BlockLine[][] {
  const title = { text: name, face: faces.tag };
  return [[title, ...lines.map((text) => ({ text, face: faces.object }))], [title]];
}

export function blockSize(lines: readonly BlockLine[]): [number, number] {
  const w = Math.max(...lines.map(({ text, face }) => textWidth(text, face))) + 4;
  return [w, lines.reduce((sum, { face }) => sum + face.size * LINE_HEIGHT, 0)];
}

function blockPlaces(
  at: Point,
  reach: number,
  forms: readonly (readonly BlockLine[])[],
  reaches: readonly number[],
): Candidate[] {
  return forms.flatMap((lines, form) => {
    const [w, h] = blockSize(lines);
    return beside(at, reach, w, h, reaches, MORE_DIRECTIONS).map((c) => ({
      ...c,
      form,
      cost: c.cost + form * NAME_ALONE,
    }));
  });
}

/** True if two segments cross. */
function crosses(a: Point, b: Point, c: Point, d: Point): boolean {
  const side = (p: Point, q: Point, r: Point): number =>
    (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0;
}
