// Cables as they are drawn, storey by storey, in metres: pieces of different cables in one place are one line, heavier
// where more run together; a mark where they leave for another storey.

import { levelOf, levelOfHole } from "../document/levels.ts";
import type { DrawnFeed, DrawnHole, DrawnWires, House, P3, Storey, WayLook } from "./contract.ts";

type Point = readonly [number, number];

/** A straight line that is drawn, with the cables in it. */
export interface Run {
  readonly look: WayLook;
  readonly a: Point;
  readonly b: Point;
  readonly cables: readonly string[];
}

/** Where cables go up or down to another storey, or to one beside this at much the same height. */
export interface Rise {
  readonly at: Point;
  readonly up: boolean;
  readonly down: boolean;
  readonly beside: boolean;
  readonly cables: readonly string[];
}

export interface StoreyWires {
  readonly runs: readonly Run[];
  readonly rises: readonly Rise[];
  /** Where a cable goes up or down within the storey. */
  readonly drops: readonly { readonly at: Point; readonly cables: readonly string[] }[];
  readonly holes: readonly DrawnHole[];
  /** Where cables end at devices. */
  readonly ends: readonly { readonly at: Point; readonly cable: string }[];
  readonly feeds: readonly DrawnFeed[];
}

/** Shorter pieces in plan are upright, and places nearer than this are one [m]. */
const SHORT = 0.03;
const SAME = 0.1;
/** Nearer than this in plan a part stands beside its source [m]. */
const BESIDE = 0.4;
/** Up or down by less is not marked [m]. */
const LEVEL = 0.5;
/** Storeys whose floors are closer in height stand beside each other, such as a house and its garden room [m]. */
const STEP = 1;

interface Piece {
  from: number;
  to: number;
  cable: string;
}

/** Pieces on one line: where it is, and what is on it. */
interface Line {
  look: WayLook;
  u: Point;
  origin: Point;
  pieces: Piece[];
}

const empty: StoreyWires = { runs: [], rises: [], drops: [], holes: [], ends: [], feeds: [] };
const known = new WeakMap<DrawnWires, WeakMap<House, ReadonlyMap<string, StoreyWires>>>();

/** What of the wires is on a storey. */
export function wiresOn(house: House, storey: Storey, wires: DrawnWires | undefined): StoreyWires {
  if (!wires) return empty;
  const byHouse = known.get(wires) ?? new WeakMap<House, ReadonlyMap<string, StoreyWires>>();
  known.set(wires, byHouse);
  const found = byHouse.get(house) ?? wiresByStorey(house, wires);
  byHouse.set(house, found);
  return found.get(storey.id) ?? empty;
}

export function wiresByStorey(house: House, wires: DrawnWires): ReadonlyMap<string, StoreyWires> {
  const sheets = new Map(house.storeys.map(({ id }) => [id, new Collected()]));
  const at = (p: P3, isLow = false): Storey | undefined => levelOf(house.storeys, p, isLow);
  for (const { id, stretches, device } of wires.cables) {
    let end: Storey | undefined;
    for (const { look, from, to, isLow } of stretches) {
      const [start, stop] = [at(from, isLow), at(to, isLow)];
      if (!start || !stop) continue;
      if (end && end !== start) rise(house, sheets, end, start, from, id);
      end = stop;
      if (start !== stop) rise(house, sheets, start, stop, to, id);
      const isUpright = Math.hypot(to[0] - from[0], to[1] - from[1]) < SHORT;
      const middle = at([(from[0] + to[0]) / 2, (from[1] + to[1]) / 2, (from[2] + to[2]) / 2], isLow);
      if (!isUpright) sheets.get((middle ?? start).id)?.line(look, from, to, id);
      else if (start === stop && Math.abs(to[2] - from[2]) > LEVEL) sheets.get(start.id)?.drop(from, id);
    }
    const last = device && at(device);
    if (device && last) sheets.get(last.id)?.ends.push({ at: plan(device), cable: id });
  }
  for (const hole of wires.holes) {
    const storey = levelOfHole(house.storeys, hole);
    if (storey) sheets.get(storey.id)?.holes.push(hole);
  }
  for (const feed of wires.feeds) {
    // What stands beside its source needs no line.
    const { source, to } = feed;
    if (source && Math.hypot(source[0] - to[0], source[1] - to[1]) < BESIDE) continue;
    const storey = at(feed.to);
    if (storey) sheets.get(storey.id)?.feeds.push(feed);
  }
  return new Map([...sheets].map(([id, sheet]) => [id, sheet.drawn()]));
}

const plan = (p: P3): Point => [p[0], p[1]];

function rise(
  house: House,
  sheets: ReadonlyMap<string, Collected>,
  a: Storey,
  b: Storey,
  where: P3,
  cable: string,
): void {
  const [low, high] = a.floor_z <= b.floor_z ? [a, b] : [b, a];
  if (high.floor_z - low.floor_z < STEP) {
    for (const { id } of [low, high]) sheets.get(id)?.rise(where, "beside", cable);
    return;
  }
  sheets.get(low.id)?.rise(where, "up", cable);
  sheets.get(high.id)?.rise(where, "down", cable);
  for (const between of house.storeys) {
    if (between.floor_z <= low.floor_z + LEVEL || between.floor_z >= high.floor_z - LEVEL) continue;
    if (levelOf(house.storeys, [where[0], where[1], between.floor_z + LEVEL]) !== between) continue;
    sheets.get(between.id)?.rise(where, "up", cable);
    sheets.get(between.id)?.rise(where, "down", cable);
  }
}

class Collected {
  private readonly lines = new Map<string, Line>();
  private readonly rises: { at: Point; to: Set<"up" | "down" | "beside">; cables: Set<string> }[] = [];
  private readonly drops: { at: Point; cables: Set<string> }[] = [];
  readonly holes: DrawnHole[] = [];
  readonly ends: { at: Point; cable: string }[] = [];
  readonly feeds: DrawnFeed[] = [];

  line(look: WayLook, from: P3, to: P3, cable: string): void {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    let u: Point = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
    // Lines have no way along them: both senses are one.
    if (u[0] < -1e-6 || (u[0] < 1e-6 && u[1] < 0)) u = [-u[0], -u[1]];
    const off = from[0] * u[1] - from[1] * u[0];
    const key = `${look} ${Math.round(Math.atan2(u[1], u[0]) * 500)} ${Math.round(off / 0.03)}`;
    const line = this.lines.get(key) ?? { look, u, origin: plan(from), pieces: [] };
    this.lines.set(key, line);
    const along = (p: P3): number =>
      (p[0] - line.origin[0]) * line.u[0] + (p[1] - line.origin[1]) * line.u[1];
    const [s, t] = [along(from), along(to)];
    line.pieces.push({ from: Math.min(s, t), to: Math.max(s, t), cable });
  }

  rise(where: P3, to: "up" | "down" | "beside", cable: string): void {
    const at = plan(where);
    const found = nearest(this.rises, at);
    if (found) {
      found.to.add(to);
      found.cables.add(cable);
    } else this.rises.push({ at, to: new Set([to]), cables: new Set([cable]) });
  }

  drop(where: P3, cable: string): void {
    const found = nearest(this.drops, plan(where));
    if (found) found.cables.add(cable);
    else this.drops.push({ at: plan(where), cables: new Set([cable]) });
  }

  drawn(): StoreyWires {
    return {
      runs: [...this.lines.values()].flatMap(runsOf),
      rises: this.rises.map(({ at, to, cables }) => ({
        at,
        up: to.has("up"),
        down: to.has("down"),
        beside: to.has("beside"),
        cables: [...cables],
      })),
      drops: this.drops
        .filter(({ at }) => !nearest(this.rises, at))
        .map((mark) => ({ ...mark, cables: [...mark.cables] })),
      holes: this.holes,
      ends: this.ends,
      feeds: this.feeds,
    };
  }
}

function nearest<Mark extends { at: Point }>(marks: readonly Mark[], at: Point): Mark | undefined {
  return marks.find((mark) => Math.hypot(mark.at[0] - at[0], mark.at[1] - at[1]) < SAME);
}

/** The pieces of a line cut where cables join or leave it: between two cuts the same cables run all along. */
function runsOf({ look, u, origin, pieces }: Line): Run[] {
  const cuts = [...new Set(pieces.flatMap(({ from, to }) => [from, to]))].sort((a, b) => a - b);
  const steps: { from: number; to: number; cables: string[] }[] = [];
  for (let i = 0; i + 1 < cuts.length; i++) {
    const [from = 0, to = 0] = [cuts[i], cuts[i + 1]];
    if (to - from < 1e-3) continue;
    const middle = (from + to) / 2;
    const cables = [
      ...new Set(pieces.filter((p) => p.from <= middle && p.to >= middle).map((p) => p.cable)),
    ].sort();
    if (cables.length === 0) continue;
    const last = steps[steps.length - 1];
    if (last && from - last.to < 2e-3 && last.cables.join() === cables.join()) last.to = to;
    else steps.push({ from, to, cables });
  }
  const point = (s: number): Point => [origin[0] + u[0] * s, origin[1] + u[1] * s];
  return steps.map(({ from, to, cables }) => ({ look, a: point(from), b: point(to), cables }));
}

/** Step of a line's weight by how many cables run in it: one, a few, many. */
export const weightOfRun = (count: number): 0 | 1 | 2 => (count < 2 ? 0 : count < 6 ? 1 : 2);

/** Links whose way is known; they are not drawn as a schema. */
export function routedLinks(wires: DrawnWires | undefined): ReadonlySet<string> {
  return new Set(wires?.cables.filter(({ stretches }) => stretches.length > 0).map(({ id }) => id));
}
