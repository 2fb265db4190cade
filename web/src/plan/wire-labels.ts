// Where labels of cables may stand, and what of the cables' marks no label may cover. All in pixels of the drawing.

import { readable } from "../geometry/along.ts";
import { type Oriented, upright } from "../geometry/oriented.ts";
import type { Candidate } from "../geometry/placement.ts";
import type { DrawnWires } from "./contract.ts";
import { faces } from "./label-style.ts";
import { beside, TAG_REACHES, tagSize } from "./places.ts";
import type { StoreyWires } from "./wires.ts";

type Point = readonly [number, number];

/** A cable's lines on the drawing, with what is lettered along it. */
export interface CableLettering {
  readonly id: string;
  readonly forms: readonly string[];
  readonly isChosen: boolean;
  /** With how many cables run in each of them. */
  readonly runs: readonly { readonly a: Point; readonly b: Point; readonly count: number }[];
}

export interface WireMark {
  readonly kind: "hole" | "rise" | "end";
  readonly id: string;
  readonly box: Oriented;
  /** The cables that it is of; the first is chosen with it. */
  readonly cables: readonly string[];
}

/** Half the height of marks [px]. */
const HOLE = 4.5;
const SEALED = 7.5;
const RISE = 8;
const END = 4.5;

export function wireMarks(on: StoreyWires, project: (p: Point) => Point): WireMark[] {
  const mark = (
    kind: WireMark["kind"],
    id: string,
    at: Point,
    half: number,
    cables: readonly string[],
  ): WireMark => {
    const [x, y] = project(at);
    return { kind, id, box: upright(x, y, 2 * half, 2 * half), cables };
  };
  return [
    ...on.holes.map((hole) =>
      mark("hole", hole.id, [hole.at[0], hole.at[1]], hole.isSealed ? SEALED : HOLE, []),
    ),
    ...on.rises.map(({ at, cables }) => mark("rise", `${at}`, at, RISE, cables)),
    ...on.ends.map(({ at, cable }) => mark("end", cable, at, END, [cable])),
  ];
}

export function cableLettering(
  on: StoreyWires,
  wires: DrawnWires,
  project: (p: Point) => Point,
): CableLettering[] {
  return wires.cables.flatMap(({ id, lettering, isPowered }) => {
    const runs = on.runs
      .filter(({ cables }) => cables.includes(id))
      .map(({ a, b, cables }) => ({ a: project(a), b: project(b), count: cables.length }));
    // Where it only passes from storey to storey there is no line to letter.
    if (runs.length === 0 || (wires.isPower && !isPowered)) return [];
    return [{ id, forms: lettering, isChosen: wires.chosen?.cables.has(id) ?? false, runs }];
  });
}

/** Of a cable's lines, how many are tried. */
const RUNS = 6;
/** What it costs to stand beside a line that others share, for each of them, and to be short. */
const SHARED = 5;
const SHORTER = 14;
/** How far leaders reach [px], and how many of a cable's lines have them. */
const LED_REACHES = [14, 28, 46];
const LED = 3;
/** Between a line and its label [px]. */
const OFF = 2.5;

/** Places along a cable's lines, on either side; beside them where they are too short. */
export function cablePlaces({ runs, forms, isChosen }: CableLettering): Candidate[] {
  const face = isChosen ? faces.tag : faces.wire;
  const span = ({ a, b }: { a: Point; b: Point }): number => Math.hypot(b[0] - a[0], b[1] - a[1]);
  const best = runs.toSorted((p, q) => p.count - q.count || span(q) - span(p)).slice(0, RUNS);
  return best.flatMap((run, order) => {
    const { a, b, count } = run;
    const long = span(run);
    const angle = readable(Math.atan2(b[1] - a[1], b[0] - a[0]));
    return forms.flatMap((text, form) => {
      const [w, h] = tagSize(text, face);
      const cost = SHARED * (count - 1) + SHORTER * form + order;
      const middle: Point = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
      if (long < 0.8 * w) {
        return beside(middle, 3, w, h, TAG_REACHES).map((c) => ({ ...c, form, cost: c.cost + cost + 6 }));
      }
      const away = h / 2 + OFF;
      const normal: Point = [-Math.sin(angle) * away, Math.cos(angle) * away];
      // Where walls are on both sides a leader leads to a free place.
      const led = beside(middle, 3, w, h, LED_REACHES).map((c) => ({ ...c, form, cost: c.cost + cost + 12 }));
      const shares = long > 1.3 * w ? [0.5, 0.3, 0.7] : [0.5];
      const along = shares.flatMap((share, place) =>
        [-1, 1].map((side, second) => ({
          box: {
            x: a[0] + (b[0] - a[0]) * share + side * normal[0],
            y: a[1] + (b[1] - a[1]) * share + side * normal[1],
            w,
            h,
            angle,
          },
          cost: cost + 2 * place + second,
          form,
        })),
      );
      return order < LED ? [...along, ...led] : along;
    });
  });
}
