// Parts by place: those closer together than their symbols are wide are drawn as one list.

import type { Design, PlacedPart, Storey } from "./contract.ts";
import { type PartKind, partKind, partOrder, partTag } from "./parts.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

export interface DrawnPart {
  /** Null for the demarcation point, which is no part of the design. */
  readonly part: PlacedPart | null;
  readonly id: string;
  readonly kind: PartKind | "demarcation";
  readonly tag: string;
}

export interface Spot {
  readonly id: string;
  readonly screen: Point;
  readonly parts: readonly DrawnPart[];
}

/** The parts of a storey: those in its rooms, or, if the room is not known, between its floor and its ceiling. */
export function partsOn(
  storey: Storey,
  design: Design | undefined,
  rooms: ReadonlySet<string>,
): PlacedPart[] {
  if (!design) return [];
  const own = new Set(storey.rooms.map((room) => room.id));
  return design.parts.filter((part) =>
    rooms.has(part.room) ? own.has(part.room) : part.at[2] >= storey.floor_z && part.at[2] < storey.ceiling_z,
  );
}

/** Groups parts, and the demarcation point if it has some beside it, that are within `near` pixels of the first. */
export function spotsOf(
  parts: readonly PlacedPart[],
  project: (p: Point) => Point,
  near: number,
  kinds?: Readonly<Record<string, PartKind>>,
  demarcation?: Point | null,
): Spot[] {
  const groups: { screen: Point; parts: DrawnPart[] }[] = [];
  const groupAt = (screen: Point) =>
    groups.find((g) => Math.hypot(g.screen[0] - screen[0], g.screen[1] - screen[1]) < near);
  for (const part of parts) {
    const screen = project([part.at[0], part.at[1]]);
    const kind = kinds?.[part.part] ?? partKind(part.part);
    const drawn: DrawnPart = { part, id: part.id, kind, tag: partTag(part.id) };
    const group = groupAt(screen);
    if (group) group.parts.push(drawn);
    else groups.push({ screen, parts: [drawn] });
  }
  const beside = demarcation ? groupAt(project(demarcation)) : undefined;
  beside?.parts.push({ part: null, id: "demarcation", kind: "demarcation", tag: words.demarcation });
  return groups.map((group) => {
    const sorted = [...group.parts].sort((a, b) => orderOf(a) - orderOf(b));
    return { id: sorted.find((drawn) => drawn.part)?.id ?? "", screen: group.screen, parts: sorted };
  });
}

const orderOf = ({ kind }: DrawnPart): number => (kind === "demarcation" ? -1 : partOrder(kind));

/** True if the demarcation point is drawn within a list of parts. */
export const hasDemarcation = (spots: readonly Spot[]): boolean =>
  spots.some((spot) => spot.parts.some((drawn) => drawn.part === null));
