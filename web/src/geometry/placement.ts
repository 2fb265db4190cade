// Where labels go. One step for all labels of the sheet: each brings its possible places with a cost, and a priority.
// The best place of each label in order of priority is taken (greedy); then labels that found none are tried again by
// moving one other label out of the way, and placed ones move to a cheaper place that has become free (local
// improvement). What still has no place is left out: nothing is ever drawn over a label. Same input, same result.

import type { Box } from "./brand.ts";
import { Buckets } from "./buckets.ts";
import { alongLine, boxesTouch, hull, type Oriented, overlap, segmentMeets } from "./oriented.ts";

/** A place where a label could be. */
export interface Candidate {
  readonly box: Oriented;
  /** Lower is better; any unit, the same for all candidates of a label. */
  readonly cost: number;
  /** A line from the thing to its label, if the label stands away from it. */
  readonly leader?: readonly [readonly [number, number], readonly [number, number]];
  /** Which form of the label this is, such as the short one; meaning is the caller's. */
  readonly form?: number;
}

export interface LabelRequest {
  readonly id: string;
  /** Higher goes first. */
  readonly priority: number;
  /** True if the label may stand on lines at no cost. */
  readonly ignoresLines?: boolean;
  readonly candidates: readonly Candidate[];
}

/** Something that no label may cover. */
export interface Obstacle {
  readonly box: Oriented;
  /** The label that belongs to it; its leader may start here. */
  readonly owner?: string;
}

/** A line that labels rather keep off. */
export interface SoftLine {
  readonly a: readonly [number, number];
  readonly b: readonly [number, number];
  /** Cost of covering it; of lines of one group only the dearest counts. */
  readonly cost: number;
  readonly group?: number;
}

export interface PlacementInput {
  readonly labels: readonly LabelRequest[];
  readonly obstacles: readonly Obstacle[];
  readonly lines: readonly SoftLine[];
  /** The sheet: labels keep inside. */
  readonly sheet: Box;
  /** Clear space between labels [px]. */
  readonly gap: number;
}

export interface Placement {
  /** Where each placed label is, by id. */
  readonly placed: ReadonlyMap<string, Candidate>;
  /** Ids of labels without a place, in order of priority. */
  readonly dropped: readonly string[];
}

/** Width that a leader keeps clear [px]. */
const LEADER = 2;
/** A label does not give way at more than this cost, as one does that would lose most of what it says. */
const MOST_TO_GIVE_WAY = 200;
/** How often the improvement goes over all labels. */
const ROUNDS = 3;

interface Shape {
  readonly box: Oriented;
  readonly hull: Box;
}

interface Option {
  readonly candidate: Candidate;
  readonly shapes: readonly Shape[];
  readonly cost: number;
}

const shapeOf = (box: Oriented, gap: number): Shape => {
  const grown = gap > 0 ? { ...box, w: box.w + gap, h: box.h + gap } : box;
  return { box: grown, hull: hull(grown) };
};

function clash(a: readonly Shape[], b: readonly Shape[]): boolean {
  for (const x of a) for (const y of b) if (boxesTouch(x.hull, y.hull) && overlap(x.box, y.box)) return true;
  return false;
}

const within = (inner: Box, outer: Box): boolean =>
  inner.minX >= outer.minX &&
  inner.minY >= outer.minY &&
  inner.maxX <= outer.maxX &&
  inner.maxY <= outer.maxY;

/** Gives every label a place or drops it. */
export function placeLabels(input: PlacementInput): Placement {
  const labels = [...input.labels].sort(
    (a, b) => b.priority - a.priority || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0),
  );
  const surroundings: Surroundings = {
    sheet: input.sheet,
    gap: input.gap,
    obstacles: new Buckets(),
    lines: new Buckets(),
  };
  for (const obstacle of input.obstacles) surroundings.obstacles.add(hull(obstacle.box), obstacle);
  for (const line of input.lines) surroundings.lines.add(hull(alongLine(line.a, line.b, 0)), line);
  const options = labels.map((label) => possible(label, surroundings));
  const chosen: (Option | undefined)[] = labels.map(() => undefined);

  const blockers = (option: Option, except: number): number[] => {
    const found: number[] = [];
    for (let i = 0; i < chosen.length; i++) {
      const other = chosen[i];
      if (i !== except && other && clash(option.shapes, other.shapes)) found.push(i);
    }
    return found;
  };
  const isFree = (option: Option, except: number): boolean => {
    for (let i = 0; i < chosen.length; i++) {
      const other = chosen[i];
      if (i !== except && other && clash(option.shapes, other.shapes)) return false;
    }
    return true;
  };

  for (let i = 0; i < labels.length; i++) chosen[i] = options[i]?.find((option) => isFree(option, i));
  for (let round = 0; round < ROUNDS; round++) {
    let changed = false;
    for (let i = 0; i < labels.length; i++) {
      const now = chosen[i];
      if (now) {
        const better = options[i]?.find((option) => option.cost < now.cost && isFree(option, i));
        if (better) {
          chosen[i] = better;
          changed = true;
        }
        continue;
      }
      for (const option of options[i] ?? []) {
        const [blocker, ...more] = blockers(option, i);
        if (blocker === undefined || more.length > 0) {
          if (blocker !== undefined) continue;
          chosen[i] = option;
        } else {
          const before = chosen[blocker];
          chosen[i] = option;
          const most = (before?.cost ?? 0) + MOST_TO_GIVE_WAY;
          const elsewhere = options[blocker]?.find((other) => isFree(other, blocker));
          if (!elsewhere || elsewhere.cost > most) {
            chosen[i] = undefined;
            chosen[blocker] = before;
            continue;
          }
          chosen[blocker] = elsewhere;
        }
        changed = true;
        break;
      }
    }
    if (!changed) break;
  }

  const placed = new Map<string, Candidate>();
  const dropped: string[] = [];
  labels.forEach((label, i) => {
    const option = chosen[i];
    if (option) placed.set(label.id, option.candidate);
    else dropped.push(label.id);
  });
  return { placed, dropped };
}

/** What the labels are placed among. */
interface Surroundings {
  readonly sheet: Box;
  readonly gap: number;
  readonly obstacles: Buckets<Obstacle>;
  readonly lines: Buckets<SoftLine>;
}

/** The places of a label that keep off the sheet's edge and all obstacles, cheapest first. */
function possible(label: LabelRequest, among: Surroundings): Option[] {
  const found: Option[] = [];
  for (const candidate of label.candidates) {
    const own = hull(candidate.box);
    if (!within(own, among.sheet)) continue;
    const shapes = [shapeOf(candidate.box, among.gap)];
    if (candidate.leader)
      shapes.push(shapeOf(alongLine(candidate.leader[0], candidate.leader[1], LEADER), 0));
    if (isBlocked(label.id, shapes, among)) continue;
    const cost = candidate.cost + (label.ignoresLines ? 0 : costOfLines(candidate.box, own, among.lines));
    found.push({ candidate, shapes, cost });
  }
  // Sorting is stable: of equal ones, the one that the caller named first.
  return found.sort((a, b) => a.cost - b.cost);
}

function costOfLines(box: Oriented, own: Box, lines: Buckets<SoftLine>): number {
  let cost = 0;
  const groups = new Map<number, number>();
  lines.some(own, (line) => {
    if (!segmentMeets(box, line.a, line.b)) return false;
    if (line.group === undefined) cost += line.cost;
    else groups.set(line.group, Math.max(groups.get(line.group) ?? 0, line.cost));
    return false;
  });
  for (const dearest of groups.values()) cost += dearest;
  return cost;
}

/** True if a label, or its leader, is on an obstacle; a leader may begin at the label's own. */
function isBlocked(id: string, shapes: readonly Shape[], { obstacles }: Surroundings): boolean {
  return shapes.some((shape, i) =>
    obstacles.some(shape.hull, ({ box, owner }) => !(i > 0 && owner === id) && overlap(shape.box, box)),
  );
}
