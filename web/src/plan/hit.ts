// What is under the pointer: small things before large ones, and within reach of a finger.

import type { ScreenPoint } from "../geometry/brand.ts";
import { frameOf, reveal } from "../geometry/opening.ts";
import type { Candidate } from "../geometry/placement.ts";
import { distanceToSegment, inArea, inRing, pointOf } from "../geometry/polygon.ts";
import { planFromScreen, screenFromPlan, type View } from "../geometry/view.ts";
import type { Keynote, Selection, Storey } from "./contract.ts";
import { KEYNOTE_RADIUS, MARK_RADIUS, PART_RADIUS, ROW_HEIGHT } from "./label-style.ts";
import type { SheetLayout } from "./layout.ts";
import { SYMBOLS_ONLY } from "./places.ts";

/** How far off a press may be: a mouse, and a finger (a target of 44 px) [px]. */
const MOUSE = 4;
const FINGER = 22;
/** The same of a cable's line, which has much beside it [px]. */
const LINE = 5;
const LINE_FINGER = 14;

/** The object at a point of the drawing, or null. */
export function hit(
  at: ScreenPoint,
  isTouch: boolean,
  storey: Storey,
  keynotes: readonly Keynote[],
  layout: SheetLayout,
  view: View,
  selected: Selection | null = null,
): Selection | null {
  const reach = isTouch ? FINGER : PART_RADIUS + MOUSE;
  const near: { selection: Selection; distance: number }[] = [];
  const consider = (
    kind: Selection["kind"],
    id: string,
    p: readonly [number, number],
    most: number,
  ): void => {
    const distance = Math.hypot(p[0] - at[0], p[1] - at[1]);
    if (distance <= most) near.push({ selection: { kind, id }, distance });
  };
  for (const keynote of keynotes) {
    const box = layout.labels.placed.get(`keynote:${keynote.id}`)?.box;
    if (box) consider("keynote", keynote.id, [box.x, box.y], isTouch ? FINGER : KEYNOTE_RADIUS + MOUSE);
  }
  for (const spot of layout.spots) {
    const list = spot.parts.length > 1 ? layout.labels.placed.get(`spot:${spot.id}`) : undefined;
    const row = list ? rowAt(list, at) : null;
    if (row !== null) {
      const part = spot.parts[Math.min(spot.parts.length - 1, row)];
      if (part) return { kind: part.part ? "part" : "demarcation", id: part.id };
    }
    const first = spot.parts.find((drawn) => drawn.part);
    if (first) consider("part", first.id, spot.screen, reach);
  }
  if (layout.entry) consider("demarcation", "demarcation", layout.entry, reach);
  for (const { device, screen } of layout.devices) {
    consider("device", device.id, screen, isTouch ? FINGER : MARK_RADIUS + MOUSE);
  }
  for (const outlet of storey.outlets)
    consider("outlet", outlet.id, screenFromPlan(view, outlet.at), isTouch ? 14 : 9);
  for (const { kind, id, box } of layout.holes) {
    if (kind === "hole") consider("hole", id, [box.x, box.y], isTouch ? 14 : box.w / 2 + MOUSE);
  }
  near.sort((a, b) => a.distance - b.distance);
  if (near[0]) return near[0].selection;
  const cable = cableAt(at, isTouch, layout, selected);
  if (cable !== null) return { kind: "cable", id: cable };
  const p = planFromScreen(view, at);
  const slack = (isTouch ? 10 : 3) / view.k;
  for (const opening of storey.openings) {
    if (inRing(p, reveal(frameOf(opening.from, opening.to, opening.thickness_m + 2 * slack)))) {
      return { kind: "opening", id: opening.id };
    }
  }
  for (const wall of storey.walls) {
    if (wall.solids.some((solid) => inRing(p, solid) || nearEdge(p, solid, isTouch ? slack : 0)))
      return { kind: "wall", id: wall.id };
  }
  const room = storey.rooms.find((r) => inArea(p, r.outline, r.holes));
  return room ? { kind: "room", id: room.id } : null;
}

/** The cable whose label or line is at a point; where several run together, each press goes on to the next. */
function cableAt(
  at: ScreenPoint,
  isTouch: boolean,
  layout: SheetLayout,
  selected: Selection | null,
): string | null {
  const most = isTouch ? LINE_FINGER : LINE;
  const labelled = layout.cables.find(({ id }) => {
    const box = layout.labels.placed.get(`cable:${id}`)?.box;
    if (!box) return false;
    const [c, s] = [Math.cos(box.angle), Math.sin(box.angle)];
    const [x, y] = [at[0] - box.x, at[1] - box.y];
    return Math.abs(x * c + y * s) <= box.w / 2 && Math.abs(y * c - x * s) <= box.h / 2;
  });
  if (labelled) return labelled.id;
  const found = layout.cables.flatMap(({ id, runs }) => {
    const distance = Math.min(...runs.map(({ a, b }) => distanceToSegment(at, a, b)));
    return distance <= most ? [{ id, distance }] : [];
  });
  const least = Math.min(...found.map(({ distance }) => distance));
  const together = found.filter(({ distance }) => distance < least + 1).map(({ id }) => id);
  const now = selected?.kind === "cable" ? together.indexOf(selected.id) : -1;
  return together[(now + 1) % together.length] ?? null;
}

/** Which entry of a list of parts is at a point; null if none is. */
function rowAt({ box, form }: Candidate, at: ScreenPoint): number | null {
  const x = at[0] - box.x + box.w / 2;
  const y = at[1] - box.y + box.h / 2;
  if (x < 0 || y < 0 || x > box.w || y > box.h) return null;
  return Math.max(0, Math.floor(((form === SYMBOLS_ONLY ? x : y) - 3) / ROW_HEIGHT));
}

function nearEdge(
  p: readonly [number, number],
  ring: readonly (readonly [number, number])[],
  most: number,
): boolean {
  if (most <= 0) return false;
  return ring.some((q, i) => distanceToSegment(p, q, pointOf(ring, i + 1)) <= most);
}
