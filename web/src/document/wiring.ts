/** How cables run, as it is shown: what belongs to what is selected, and what stands together. */

import type {
  BundleRow,
  CableRoute,
  CablingAnswer,
  Design,
  Gap,
  Hole,
  Made,
  Stretch,
  Way,
} from "../engine/types.ts";
import type { Selected } from "./address.ts";

/** Kinds of way that are drawn alike: one style of line each. */
export type Look =
  | "wall"
  | "chase"
  | "floor"
  | "void"
  | "attic"
  | "crawl"
  | "shaft"
  | "conduit"
  | "raceway"
  | "facade"
  | "buried"
  | "existing"
  | "open";

const looks: Record<Way, Look> = {
  "stud-bay": "wall",
  "joist-bay": "floor",
  "across-joists": "floor",
  "ceiling-void": "void",
  attic: "attic",
  "crawl-space": "crawl",
  "open-ceiling": "open",
  riser: "shaft",
  conduit: "conduit",
  raceway: "raceway",
  chase: "chase",
  facade: "facade",
  buried: "buried",
  existing: "existing",
  open: "open",
  through: "open",
  "under-door": "open",
};

/** A way that a later version of the server may know is drawn as one in the open. */
export const lookOf = (way: Way): Look => looks[way] ?? "open";

/** Ways that are below the floor which they are reached from. */
export const isBelowGround = (way: Way): boolean => way === "buried" || way === "crawl-space";

export const lengthOf = ({ from, to }: Stretch): number =>
  Math.hypot(to[0] - from[0], to[1] - from[1], to[2] - from[2]);

export const routeOf = ({ wiring }: CablingAnswer, link: string): CableRoute | null =>
  wiring.routes.find((route) => route.link === link) ?? null;

export const holeOf = ({ wiring }: CablingAnswer, id: string): Hole | null =>
  wiring.holes.find((hole) => hole.id === id) ?? null;

/** Holes that a cable passes, in its order. */
export function holesOf(answer: CablingAnswer, link: string): Hole[] {
  return routeOf(answer, link)?.holes.flatMap((id) => holeOf(answer, id) ?? []) ?? [];
}

/** The cables and holes that a selection is about; null if it is about none. */
export interface RelatedWires {
  cables: ReadonlySet<string>;
  holes: ReadonlySet<string>;
}

export function wiresOf(answer: CablingAnswer, selected: Selected | null): RelatedWires | null {
  switch (selected?.kind) {
    case "cable": {
      const holes = holesOf(answer, selected.id).map(({ id }) => id);
      return { cables: new Set([selected.id]), holes: new Set(holes) };
    }
    case "hole":
      return {
        cables: new Set(holeOf(answer, selected.id)?.links ?? []),
        holes: new Set([selected.id]),
      };
    case "part":
    case "device": {
      const own = (answer.design.links ?? []).filter(
        ({ from, to }) => from === selected.id || to === selected.id,
      );
      const routed = own.filter(({ id }) => routeOf(answer, id));
      return routed.length > 0
        ? { cables: new Set(routed.map(({ id }) => id)), holes: new Set<string>() }
        : null;
    }
    default:
      return null;
  }
}

/** Fixed cables of the design for which no way was found. */
export function notLaid({ design, wiring }: CablingAnswer): string[] {
  const laid = new Set(wiring.routes.map(({ link }) => link));
  return (design.links ?? [])
    .filter(({ id, medium }) => medium.over === "cable" && !laid.has(id))
    .map(({ id }) => id);
}

/** How far the found value may be from the best: a share of what was found; null where that says nothing. */
export function gapShare(gap: Gap | null): number | null {
  if (!gap || !(gap.found > 0)) return null;
  return Math.max(0, (gap.found - gap.bound) / gap.found);
}

/** All runs in one kind of way. */
export interface Pathway {
  way: Way;
  /** Length of the runs, each counted once [m]. */
  length: number;
  /** Length of the cables in them [m]. */
  cable: number;
  /** Most cables side by side. */
  most: number;
  /** Least inner diameter of a pipe for them [mm]. */
  leastPipe: number;
  /** Length that has to be made first [m]. */
  made: number;
}

export function pathwaysOf({ wires, wiring }: CablingAnswer): Pathway[] {
  const found = new Map<Way, Pathway>();
  const at = (way: Way): Pathway => {
    const known = found.get(way) ?? { way, length: 0, cable: 0, most: 0, leastPipe: 0, made: 0 };
    found.set(way, known);
    return known;
  };
  for (const bundle of wires.bundles) {
    const row = at(bundle.way);
    row.length += bundle.length;
    row.cable += bundle.length * bundle.links.length;
    row.most = Math.max(row.most, bundle.links.length);
    row.leastPipe = Math.max(row.leastPipe, bundle.least_pipe_mm);
  }
  for (const made of wiring.made) at(made.stretch.way).made += lengthOf(made.stretch);
  return [...found.values()];
}

/** What is made once, by what it is and what it is in. */
export interface MadeRow {
  id: string;
  way: Way;
  element: string | null;
  length: number;
  links: string[];
}

export function madeRows(made: readonly Made[]): MadeRow[] {
  const found = new Map<string, MadeRow>();
  for (const { stretch, links } of made) {
    const id = `${stretch.way} ${stretch.element ?? ""}`;
    const row = found.get(id) ?? { id, way: stretch.way, element: stretch.element, length: 0, links: [] };
    row.length += lengthOf(stretch);
    row.links = [...new Set([...row.links, ...links])];
    found.set(id, row);
  }
  return [...found.values()];
}

export const bundleId = ({ way, links }: BundleRow): string => `${way} ${links.join(" ")}`;

/** The wired links from a supply to a part that it feeds, fewest first; none if no cable joins them. */
export function wiredPath(design: Design, supply: string, part: string): string[] {
  const links = (design.links ?? []).filter(({ medium }) => medium.over !== "radio");
  const before = new Map<string, { link: string; end: string }>();
  const queue = [supply];
  const seen = new Set(queue);
  for (let end = queue.shift(); end !== undefined && !seen.has(part); end = queue.shift()) {
    for (const { id, from, to } of links) {
      const next = from === end ? to : to === end ? from : null;
      if (next === null || seen.has(next)) continue;
      seen.add(next);
      before.set(next, { link: id, end });
      queue.push(next);
    }
  }
  const path: string[] = [];
  for (let step = before.get(part); step; step = before.get(step.end)) path.unshift(step.link);
  return path;
}
