// Where devices stand on the plan, in metres, so that they keep their places at every scale: those with a place of their
// own there, the others side by side in the middle of their room, off its walls and off what stands there already.

import { distanceToSegment, inArea } from "../geometry/polygon.ts";
import type { DrawnDevice, House, PlacedPart, Room, Storey } from "./contract.ts";
import { partTag } from "./parts.ts";
import { roomPoints, segmentsOf } from "./places.ts";

type Point = readonly [number, number];

export interface DeviceSpot {
  readonly device: DrawnDevice;
  readonly at: Point;
}

/** Between devices side by side, and between a device and what stands beside it [m]. */
const PITCH = 0.42;
/** Room that a mark takes [px]. */
const MARK = 9.5;
/** Between a device and a wall [m]. */
const OFF_WALL = 0.3;
/** Devices in one row, at most. */
const ROW = 4;

/** The devices in the rooms of a storey. */
export function devicesOn(
  storey: Storey,
  devices: readonly DrawnDevice[],
  parts: readonly PlacedPart[],
): DeviceSpot[] {
  const placed: DeviceSpot[] = [];
  for (const room of storey.rooms) {
    const own = devices.filter((device) => device.room === room.id);
    const taken: Point[] = parts.map((part) => [part.at[0], part.at[1]]);
    for (const device of own) {
      if (!device.at) continue;
      placed.push({ device, at: device.at });
      taken.push(device.at);
    }
    const others = own.filter((device) => !device.at);
    const places = placesIn(room, others.length, taken);
    others.forEach((device, i) => {
      placed.push({ device, at: places[i] ?? room.inside });
    });
  }
  return placed;
}

/** Places for so many devices: a block of rows where there is room for one, else one by one. */
function placesIn(room: Room, count: number, taken: readonly Point[]): Point[] {
  if (count === 0) return [];
  const { lattice } = roomPoints(room);
  const from = (p: Point): number => Math.hypot(p[0] - room.inside[0], p[1] - room.inside[1]);
  const anchors = [room.inside, ...lattice].sort((a, b) => from(a) - from(b));
  const edges = [room.outline, ...room.holes].flatMap(segmentsOf);
  const isFree = (p: Point, others: readonly Point[]): boolean =>
    inArea(p, room.outline, room.holes) &&
    edges.every(([a, b]) => distanceToSegment(p, a, b) >= OFF_WALL) &&
    others.every((other) => Math.hypot(p[0] - other[0], p[1] - other[1]) >= PITCH * 0.99);
  for (let columns = Math.min(count, ROW); columns > 0; columns--) {
    for (const anchor of anchors) {
      const block = blockAt(anchor, count, columns);
      if (block.every((p) => isFree(p, taken))) return block;
    }
  }
  const found: Point[] = [];
  for (const anchor of anchors) {
    if (found.length < count && isFree(anchor, [...taken, ...found])) found.push(anchor);
  }
  return found;
}

/** Rows about a point, from the upper left. */
function blockAt([x, y]: Point, count: number, columns: number): Point[] {
  const rows = Math.ceil(count / columns);
  return Array.from({ length: count }, (_, i): Point => {
    const row = Math.floor(i / columns);
    const inRow = row === rows - 1 ? count - row * columns : columns;
    return [x + ((i % columns) - (inRow - 1) / 2) * PITCH, y - (row - (rows - 1) / 2) * PITCH];
  });
}

/** The storey of a part, by its room, or between whose floor and ceiling it hangs. */
export function storeyOfPart(house: House, part: PlacedPart): Storey | undefined {
  return (
    house.storeys.find((storey) => storey.rooms.some((room) => room.id === part.room)) ??
    house.storeys.find((storey) => part.at[2] >= storey.floor_z && part.at[2] < storey.ceiling_z)
  );
}

/** A line from a device to the part that serves it. */
export interface Served {
  readonly device: DrawnDevice;
  readonly from: Point;
  readonly part: PlacedPart;
}

export function servedOn(spots: readonly DeviceSpot[], parts: readonly PlacedPart[]): Served[] {
  const byId = new Map(parts.map((part) => [part.id, part]));
  return spots.flatMap(({ device, at }) => {
    const part = device.servedBy === null ? undefined : byId.get(device.servedBy);
    return part ? [{ device, from: at, part }] : [];
  });
}

/** Parts of other storeys that serve devices of this one: each is drawn once, where it is in plan. */
export function servedFromElsewhere(served: readonly Served[], here: readonly PlacedPart[]): PlacedPart[] {
  const own = new Set(here.map((part) => part.id));
  return [...new Set(served.map(({ part }) => part))].filter((part) => !own.has(part.id));
}

/** The tag of a part on another storey: its own, and where it is. */
export function elsewhereTag(house: House, part: PlacedPart): string {
  const storey = storeyOfPart(house, part);
  return storey ? `${partTag(part.id)}, ${storey.name}` : partTag(part.id);
}

/** How much smaller marks are drawn at a scale [px/m] at which they would else touch each other. */
export const markScale = (k: number): number => Math.min(1, Math.max(0.5, (PITCH * k) / MARK));
