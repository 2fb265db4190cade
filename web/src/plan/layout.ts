// What stands where on a storey's sheet: labels, parts in groups, and everything that labels keep off.

import { useMemo } from "react";
import type { Size } from "../geometry/brand.ts";
import { type DoorLeaf, doorOf, frameOf, reveal } from "../geometry/opening.ts";
import { upright } from "../geometry/oriented.ts";
import type { Obstacle, SoftLine } from "../geometry/placement.ts";
import { screenFromPlan, type View } from "../geometry/view.ts";
import type { Design, DrawnWires, House, Keynote, Selection, Storey, Traffic } from "./contract.ts";
import type { RoomCoverage } from "./coverage.ts";
import { type DeviceSpot, devicesOn, elsewhereTag, servedFromElsewhere, servedOn } from "./devices.ts";
import { faces, MARK_RADIUS, OUTLET_RADIUS, PART_RADIUS } from "./label-style.ts";
import { type LabelledMark, type SheetLabels, sheetLabels } from "./labels.ts";
import { linksOn } from "./links.ts";
import type { PartKind } from "./parts.ts";
import { tagSize } from "./places.ts";
import { stairOf } from "./Storey.tsx";
import { hasDemarcation, partsOn, type Spot, spotsOf } from "./spots.ts";
import { type CableLettering, cableLettering, type WireMark, wireMarks } from "./wire-labels.ts";
import { routedLinks, wiresOn } from "./wires.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

/** Parts nearer than this are one list [px]. */
const NEAR = 22;
const NONE: readonly never[] = [];

export interface LayoutInput {
  house: House;
  storey: Storey;
  view: View;
  size: Size;
  design?: Design | undefined;
  kinds?: Readonly<Record<string, PartKind>> | undefined;
  coverage: readonly RoomCoverage[];
  keynotes: readonly Keynote[];
  selected: Selection | null;
  traffic?: Traffic | undefined;
  wires?: DrawnWires | undefined;
  /** What of the window is covered by buttons. */
  covered: readonly Obstacle[];
  /** True while the view changes: labels of lines and outlets wait, so that nothing flickers. */
  isMoving: boolean;
}

/** What stands where on the screen; for drawing and for finding what was pressed. */
export interface SheetLayout {
  readonly labels: SheetLabels;
  readonly spots: readonly Spot[];
  /** Devices and where they are on the screen. */
  readonly devices: readonly DeviceMark[];
  /** Holes, and lines of cables, on the screen. */
  readonly holes: readonly WireMark[];
  readonly cables: readonly CableLettering[];
  /** Where the line enters, if that is drawn by itself. */
  readonly entry: Point | null;
}

export interface DeviceMark extends DeviceSpot {
  readonly screen: Point;
}

export function useSheetLayout(props: LayoutInput): SheetLayout {
  const { house, storey, view, size, design, kinds, coverage, keynotes, selected, covered, isMoving } = props;
  const { traffic, wires } = props;
  const parts = useMemo(() => {
    const rooms = new Set(house.storeys.flatMap((s) => s.rooms.map((room) => room.id)));
    return partsOn(storey, design, rooms);
  }, [house, storey, design]);
  const drawnDevices = traffic?.devices ?? NONE;
  const placed = useMemo(() => devicesOn(storey, drawnDevices, parts), [storey, drawnDevices, parts]);
  return useMemo(() => {
    const project = (p: Point): Point => screenFromPlan(view, p);
    const entry = house.demarcation?.storey === storey.id ? house.demarcation.at : null;
    const spots = spotsOf(parts, project, NEAR, kinds, entry);
    const obstacles: Obstacle[] = [...covered];
    const soft: SoftLine[] = [];
    const devices = placed.map((spot): DeviceMark => ({ ...spot, screen: project(spot.at) }));
    const served = servedOn(placed, design?.parts ?? NONE);
    const marks: LabelledMark[] = devices.map(({ device, screen }) => ({
      id: `device:${device.id}`,
      text: device.tag,
      at: screen,
      importance: selected?.kind === "device" && selected.id === device.id ? "chosen" : "device",
    }));
    for (const part of servedFromElsewhere(served, parts)) {
      const text = elsewhereTag(house, part);
      const id = `elsewhere:${part.id}`;
      marks.push({ id, text, at: project([part.at[0], part.at[1]]), importance: "elsewhere" });
    }
    for (const { id, at } of marks) {
      const side = 2 * MARK_RADIUS + (id === narrowest(traffic) ? 14 : 0);
      obstacles.push({ box: upright(at[0], at[1], side, side), owner: `mark:${id}` });
    }
    for (const spot of spots) {
      const isNarrow = spot.parts.length === 1 && narrowest(traffic) === `part:${spot.id}`;
      const side = spot.parts.length > 1 ? 10 : 2 * PART_RADIUS + (isNarrow ? 14 : 0);
      obstacles.push({ box: upright(spot.screen[0], spot.screen[1], side, side), owner: `spot:${spot.id}` });
    }
    for (const outlet of storey.outlets) {
      const [x, y] = project(outlet.at);
      obstacles.push({
        box: upright(x, y, 2 * OUTLET_RADIUS, 2 * OUTLET_RADIUS),
        owner: `outlet:${outlet.id}`,
      });
    }
    const demarcation = entry && !hasDemarcation(spots) ? project(entry) : null;
    if (demarcation)
      obstacles.push({ box: upright(demarcation[0], demarcation[1], 17, 17), owner: "demarcation" });
    let group = 0;
    const follow = (points: readonly Point[], cost: number): void => {
      group++;
      for (let i = 0; i + 1 < points.length; i++) {
        const a = points[i];
        const b = points[i + 1];
        if (a && b) soft.push({ a: project(a), b: project(b), cost, group });
      }
    };
    for (const link of linksOn(design, parts, routedLinks(wires)).links) follow(link.points, 4);
    const wired = wiresOn(house, storey, wires);
    for (const { a, b } of wired.runs) follow([a, b], 14);
    for (const feed of wired.feeds) {
      if (feed.source) {
        follow(
          [
            [feed.source[0], feed.source[1]],
            [feed.to[0], feed.to[1]],
          ],
          4,
        );
      }
    }
    const wireSigns = wireMarks(wired, project);
    for (const { box, id } of wireSigns) obstacles.push({ box, owner: `sign:${id}` });
    const cables = wires ? cableLettering(wired, wires, project) : NONE;
    for (const { device, from, part } of served) {
      follow([from, [part.at[0], part.at[1]]], 4 + 3 * (device.weight ?? 0));
    }
    for (const room of coverage) for (const line of room.lines) if (line.isTarget) follow(line.points, 3);
    for (const opening of storey.openings) {
      if (opening.kind === "window") continue;
      const frame = frameOf(opening.from, opening.to, opening.thickness_m);
      const ring = reveal(frame, opening.kind === "gap" ? 0.2 : 0);
      follow([...ring, ring[0] ?? [0, 0]], 2);
      if (opening.kind !== "door") continue;
      for (const leaf of doorOf(frame, storey.rooms).leaves) {
        follow([leaf.hinge, leaf.open], 4);
        follow(arcOf(leaf), 2);
      }
    }
    const stairs = storey.stairs.flatMap((stair) => {
      const drawn = stairOf(house, storey, stair);
      if (!drawn) return [];
      for (const tread of drawn.lines.treads) follow(tread, 2);
      const start = drawn.lines.walk[0];
      const next = drawn.lines.walk[1];
      if (!start || !next) return [];
      const [ax, ay] = project(start);
      const [bx, by] = project(next);
      follow(drawn.lines.walk, 8);
      const length = Math.hypot(bx - ax, by - ay) || 1;
      const text = drawn.upward ? words.up : words.down;
      const [w, h] = tagSize(text, faces.object);
      // Just before the line that one walks, whichever way that runs.
      const [ux, uy] = [(bx - ax) / length, (by - ay) / length];
      const off = (Math.abs(ux) * w + Math.abs(uy) * h) / 2 + 1;
      return [{ id: stair.id, at: [ax - ux * off, ay - uy * off] as const, start: [ax, ay] as const, text }];
    });
    const labels = sheetLabels({
      rooms: storey.rooms,
      units: house.units,
      size,
      project,
      lines: isMoving ? NONE : coverage.flatMap((room) => room.lines),
      spots,
      keynotes,
      outlets: isMoving ? NONE : storey.outlets,
      objects: storey.objects,
      channels: traffic?.channels,
      marks: isMoving ? NONE : marks,
      cables: isMoving ? NONE : cables,
      stairs,
      demarcation,
      solids: storey.walls.flatMap((wall) => wall.solids.map((solid) => solid.map(project))),
      obstacles,
      soft,
      selected,
    });
    return { labels, spots, devices, holes: wireSigns, cables, entry: demarcation };
  }, [
    house,
    storey,
    view,
    size,
    design,
    kinds,
    coverage,
    keynotes,
    selected,
    traffic,
    wires,
    placed,
    covered,
    isMoving,
    parts,
  ]);
}

/** The mark around which brackets stand, as obstacles are named. */
const narrowest = (traffic: Traffic | undefined): string | null =>
  traffic?.bottleneck ? `${traffic.bottleneck.on}:${traffic.bottleneck.id}` : null;

/** A door's arc as three chords: near enough to keep labels off it. */
function arcOf({ hinge, open, shut, counterClockwise }: DoorLeaf): Point[] {
  const start = Math.atan2(open[1] - hinge[1], open[0] - hinge[0]);
  const radius = Math.hypot(open[0] - hinge[0], open[1] - hinge[1]);
  const turn = ((counterClockwise ? 1 : -1) * Math.PI) / 6;
  const at = (n: number): Point => [
    hinge[0] + radius * Math.cos(start + n * turn),
    hinge[1] + radius * Math.sin(start + n * turn),
  ];
  return [open, at(1), at(2), shut];
}
