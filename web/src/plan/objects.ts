// The objects of a sheet in reading order, with what is said of each. Keys step through this list; the table shows it.

import { areaText, lengthText } from "../geometry/format.ts";
import { inArea } from "../geometry/polygon.ts";
import type {
  Design,
  DrawnDevice,
  DrawnWires,
  House,
  Keynote,
  Opening,
  PlacedPart,
  PlanMark,
  Room,
  Selection,
  Storey,
  Traffic,
} from "./contract.ts";
import { devicesOn } from "./devices.ts";
import { partKind, partTag } from "./parts.ts";
import { partsOn } from "./spots.ts";
import { wiresOn } from "./wires.ts";
import { openingName, outletName, partName, severityName, wallName, words } from "./words.ts";

export interface SheetObject {
  readonly selection: Selection;
  readonly at: readonly [number, number];
  readonly text: string;
}

export const roomIdsOf = (house: House): Set<string> =>
  new Set(house.storeys.flatMap((s) => s.rooms.map((r) => r.id)));

/** What is drawn over the building and the design, if any. */
interface Drawn {
  traffic?: Traffic | undefined;
  marks?: readonly PlanMark[] | undefined;
  wires?: DrawnWires | undefined;
}

/** All objects of a storey: findings first, then parts, rooms, openings, outlets, walls. */
export function objectsOf(
  house: House,
  storey: Storey,
  design: Design | undefined,
  keynotes: readonly Keynote[],
  { traffic, marks = [], wires }: Drawn = {},
): SheetObject[] {
  const { units } = house;
  const marked = (on: PlanMark["on"], id: string): string[] =>
    marks.filter((mark) => mark.on === on && mark.id === id).map((mark) => mark.text);
  const found: SheetObject[] = [];
  for (const keynote of keynotes) {
    if (keynote.storey !== storey.id) continue;
    found.push({
      selection: { kind: "keynote", id: keynote.id },
      at: keynote.at,
      text: `Keynote ${keynote.n}, ${severityName[keynote.severity]}`,
    });
  }
  const parts = partsOn(storey, design, roomIdsOf(house));
  for (const part of parts) {
    found.push({
      selection: { kind: "part", id: part.id },
      at: [part.at[0], part.at[1]],
      text: [
        partText(part, house, storey),
        ...(traffic?.channels.get(part.id) ?? []),
        ...marked("part", part.id),
      ].join(", "),
    });
  }
  for (const { device, at } of traffic ? devicesOn(storey, traffic.devices, parts) : []) {
    const text = [deviceText(device, storey), ...marked("device", device.id)].join(", ");
    found.push({ selection: { kind: "device", id: device.id }, at, text });
  }
  const wired = wiresOn(house, storey, wires);
  for (const cable of wires?.cables ?? []) {
    const run = wired.runs.find(({ cables }) => cables.includes(cable.id));
    if (!run) continue;
    const at = [(run.a[0] + run.b[0]) / 2, (run.a[1] + run.b[1]) / 2] as const;
    found.push({ selection: { kind: "cable", id: cable.id }, at, text: cable.text });
  }
  for (const { id, at, text } of wired.holes) {
    found.push({ selection: { kind: "hole", id }, at: [at[0], at[1]], text });
  }
  for (const room of storey.rooms) {
    found.push({
      selection: { kind: "room", id: room.id },
      at: room.inside,
      text: `${room.name}, ${areaText(room.area_m2, units)}`,
    });
  }
  for (const opening of storey.openings) {
    const rooms = roomsBeside(opening, storey);
    const width = Math.hypot(opening.to[0] - opening.from[0], opening.to[1] - opening.from[1]);
    const between =
      rooms.length === 2
        ? `between ${rooms[0]?.name} and ${rooms[1]?.name}`
        : `of ${rooms[0]?.name ?? "the storey"}`;
    found.push({
      selection: { kind: "opening", id: opening.id },
      at: middleOf(opening),
      text: `${openingName[opening.kind]} ${between}, ${lengthText(width, units)} wide`,
    });
  }
  for (const outlet of storey.outlets) {
    const room = storey.rooms.find((r) => r.id === outlet.room);
    found.push({
      selection: { kind: "outlet", id: outlet.id },
      at: outlet.at,
      text: `${outletName[outlet.kind]} ${outlet.id}${room ? ` in ${room.name}` : ""}, ${lengthText(outlet.height_m, units)} high`,
    });
  }
  for (const wall of storey.walls) {
    const corner = wall.solids[0]?.[0];
    if (!corner) continue;
    found.push({
      selection: { kind: "wall", id: wall.id },
      at: corner,
      text: `${wallName[wall.kind]} ${wall.id}, ${lengthText(wall.length_m, units)} long, ${wall.assembly_name}`,
    });
  }
  return found;
}

export function partText(part: PlacedPart, house: House, storey: Storey): string {
  const room = storey.rooms.find((r) => r.id === part.room);
  const height = lengthText(part.at[2] - storey.floor_z, house.units);
  return `${partName[partKind(part.part)]} ${partTag(part.id)}${room ? ` in ${room.name}` : ""}, ${part.mounting} mounted, ${height} above the floor${part.kept ? ", already there" : ""}`;
}

export function deviceText(device: DrawnDevice, storey: Storey): string {
  const room = storey.rooms.find((r) => r.id === device.room);
  const what = `${device.kind} ${device.tag}${room ? ` in ${room.name}` : ""}`;
  if (device.says !== undefined) return `${what}, ${device.says}`;
  return `${what}, ${words.servedBy(device.served)}, ${device.airtime}`;
}

const middleOf = ({ from, to }: Opening): readonly [number, number] => [
  (from[0] + to[0]) / 2,
  (from[1] + to[1]) / 2,
];

/** The rooms on both sides of an opening. */
export function roomsBeside(opening: Opening, storey: Storey): Room[] {
  const [x, y] = middleOf(opening);
  const dx = opening.to[0] - opening.from[0];
  const dy = opening.to[1] - opening.from[1];
  const length = Math.hypot(dx, dy) || 1;
  const off = opening.thickness_m / 2 + 0.15;
  const found: Room[] = [];
  for (const side of [1, -1]) {
    const p: readonly [number, number] = [x - (dy / length) * off * side, y + (dx / length) * off * side];
    const room = storey.rooms.find((r) => inArea(p, r.outline, r.holes));
    if (room && !found.includes(room)) found.push(room);
  }
  return found;
}
