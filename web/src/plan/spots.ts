// Parts by place: those closer together than their symbols are wide are drawn as one list.

import type { Design, PlacedPart, Storey } from "./contract.ts";
import { type PartKind, partKind, partOrder, partTag } from "./parts.ts";

type Point = readonly [number, number];

export interface DrawnPart {
  readonly part: PlacedPart;
  readonly kind: PartKind;
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

/** Groups parts that are within `near` pixels of the first of their group. */
export function spotsOf(
  parts: readonly PlacedPart[],
  project: (p: Point) => Point,
  near: number,
  kinds?: Readonly<Record<string, PartKind>>,
): Spot[] {
  const groups: { screen: Point; parts: DrawnPart[] }[] = [];
  for (const part of parts) {
    const screen = project([part.at[0], part.at[1]]);
    const drawn: DrawnPart = { part, kind: kinds?.[part.part] ?? partKind(part.part), tag: partTag(part.id) };
    const group = groups.find((g) => Math.hypot(g.screen[0] - screen[0], g.screen[1] - screen[1]) < near);
    if (group) group.parts.push(drawn);
    else groups.push({ screen, parts: [drawn] });
  }
  return groups.map((group) => {
    const sorted = [...group.parts].sort((a, b) => partOrder(a.kind) - partOrder(b.kind));
    return { id: sorted[0]?.part.id ?? "", screen: group.screen, parts: sorted };
  });
}
