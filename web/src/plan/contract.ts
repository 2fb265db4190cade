// What the drawing is given: the server's house, design, map and probe, as plain data. Lengths in metres, points [x, y]
// with y up the sheet. The shapes follow the server's answers; nothing here is computed.

import type { CauseShape } from "./CauseGlyph.tsx";

export type P = readonly [number, number];

export interface Wall {
  id: string;
  kind: "inside" | "outer" | "party";
  assembly: string;
  assembly_name: string;
  thickness_m: number;
  length_m: number;
  /** The wall as cut 1.2 m above the floor, joined at corners. */
  solids: P[][];
}

export interface Opening {
  id: string;
  wall: string;
  kind: "door" | "window" | "gap";
  /** Jambs, on the wall's centre line. */
  from: P;
  to: P;
  thickness_m: number;
  sill_m: number;
  head_m: number;
}

export interface Target {
  down_bps: number;
  up_bps: number;
}

export interface Room {
  id: string;
  name: string;
  use: string | null;
  area_m2: number;
  outline: P[];
  holes: P[][];
  inside: P;
  target: Target | null;
}

export interface Stair {
  id: string;
  outline: P[];
  from: string;
  to: string;
}

export interface Outlet {
  id: string;
  kind: "mains" | "data" | "coax" | "phone";
  at: P;
  height_m: number;
  room: string | null;
}

export interface FixedObject {
  id: string;
  name: string;
  outline: P[];
}

export interface Storey {
  id: string;
  name: string;
  use: string | null;
  floor_z: number;
  ceiling_z: number;
  walls: Wall[];
  openings: Opening[];
  rooms: Room[];
  stairs: Stair[];
  outlets: Outlet[];
  objects: FixedObject[];
}

export interface House {
  revision: number;
  name: string;
  units: "metric" | "feet-inches";
  north_deg: number;
  bounds: { min: P; max: P };
  demarcation: { storey: string; at: P } | null;
  storeys: Storey[];
}

export interface PlacedPart {
  id: string;
  part: string;
  room: string;
  at: P3;
  mounting: "ceiling" | "wall" | "shelf" | "panel";
  kept?: boolean;
}

export interface Link {
  id: string;
  from: string;
  to: string;
  medium: { over: "cable"; part: string } | { over: "cord" } | { over: "radio"; band: string };
}

/** Of a design, what is drawn. */
export interface Design {
  id: string;
  name: string;
  parts: PlacedPart[];
  links?: Link[];
}

export interface CoverageMap {
  design: string;
  storey: string;
  band: string;
  quantity: string;
  unit: string;
  origin: P;
  cell: number;
  rows: number;
  columns: number;
  values: (number | null)[];
  margin_db: (number | null)[];
  room: (number | null)[];
  levels: number[];
}

export interface ProbeLeg {
  label: string;
  value: number;
  unit: string;
  element: string | null;
  source: string | null;
}

/** A point in space [m], z from the building's zero level. */
export type P3 = readonly [number, number, number];

/** A turn of a path: in a mirror, or round an edge. */
export interface PathTurn {
  kind: "reflection" | "diffraction";
  at: P3;
  element: string;
  label: string;
  angle_deg: number;
  loss_db: number;
}

/** Something that a path passes through. */
export interface PathCrossing {
  at: P3;
  element: string;
  label: string;
  angle_deg: number;
  loss_db: number;
}

/** One of the paths that make up a level. */
export interface ProbePath {
  level_dbm: number;
  length_m: number;
  delay_ns: number;
  /** The part, where the way turns, and the device. */
  points: P3[];
  turns: PathTurn[];
  crossings: PathCrossing[];
}

export interface Probe {
  value: {
    level_dbm: number | null;
    down_bps: number | null;
    up_bps: number | null;
    probability: number | null;
  };
  at: P;
  storey: string;
  room: string | null;
  part: string | null;
  band: string | null;
  spread_db: number | null;
  distance_m: number | null;
  target: Target | null;
  margin_db: number | null;
  covered: boolean | null;
  legs: ProbeLeg[];
  /** The strongest first. */
  paths: ProbePath[];
  /** The paths beyond those. */
  others: { count: number; level_dbm: number } | null;
  missing: string[];
  sources: string[];
}

export type Severity = "unsafe" | "fails" | "risk" | "note";

/** A finding's number on the plan. */
export interface Keynote {
  n: number;
  severity: Severity;
  storey: string;
  at: P;
  id: string;
}

/** A device of the household, with what its link takes. */
export interface DrawnDevice {
  id: string;
  /** What is lettered beside it. */
  tag: string;
  room: string;
  /** Its place, if it stays there; else it stands in the middle of its room. */
  at: P | null;
  joins: "radio" | "cable" | "other";
  /** The part that serves it; null if none does, or if that is not known. */
  servedBy: string | null;
  /** Step of the line's weight by airtime, from 0; null if it is not known. */
  weight: number | null;
  /** What it is, by what it is served and what it takes, in words. */
  kind: string;
  served: string;
  airtime: string;
  /** Said of it instead of what serves it and what it takes. */
  says?: string;
}

/**
 * A mark on a thing: it is in the cut that is shown, it is switched off, it is down by that or goes on by another way,
 * or a line of a schedule is about it.
 */
export interface PlanMark {
  on: "part" | "device" | "link" | "demarcation" | "outlet";
  id: string;
  state: "cut" | "off" | "lost" | "other" | "about";
  shape: CauseShape;
  /** Said of the thing. */
  text: string;
}

/** Where a bottleneck is. A link is named by its far end. */
export interface BottleneckPlace {
  on: "part" | "device" | "link" | "demarcation";
  id: string;
}

/** What the network carries in the busy hour, as far as it is drawn. */
export interface Traffic {
  devices: readonly DrawnDevice[];
  /** What is lettered beside parts: a line for each radio. */
  channels: ReadonlyMap<string, readonly string[]>;
  /** Where one step of line weight ends and the next begins, in per cent of airtime. */
  limits: readonly string[];
  bottleneck: BottleneckPlace | null;
  /** What the selection is about; all else is drawn lighter. Null if nothing is selected. */
  chosen: { devices: ReadonlySet<string>; links: ReadonlySet<string> } | null;
}

/** What a cable runs in or on, as far as it is drawn apart. */
export type WayLook =
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

/** A straight piece of a cable's way. */
export interface DrawnStretch {
  look: WayLook;
  from: P3;
  to: P3;
  /** True if it is under the floor that it is reached from. */
  isLow: boolean;
}

export interface DrawnCable {
  /** The link. */
  id: string;
  /** What is lettered beside it, the longest first. */
  lettering: readonly string[];
  stretches: readonly DrawnStretch[];
  /** Where it ends at a device, which has no symbol here. */
  device: P3 | null;
  /** True if it feeds the part at its end. */
  isPowered: boolean;
  /** What it is, where it leads, how long it is and how it runs, in words. */
  text: string;
}

export type DrawnHoleKind = "wall" | "party-wall" | "outer-wall" | "floor" | "plate" | "joist";

export interface DrawnHole {
  id: string;
  kind: DrawnHoleKind;
  at: P3;
  isSealed: boolean;
  text: string;
}

/** What a part is powered from, other than its data cable. */
export interface DrawnFeed {
  part: string;
  from: "mains" | "battery";
  to: P3;
  /** The outlet's or the battery supply's place; null if no outlet is known. */
  source: P3 | null;
  text: string;
}

/** Cables, holes and feeds of a design. */
export interface DrawnWires {
  cables: readonly DrawnCable[];
  holes: readonly DrawnHole[];
  feeds: readonly DrawnFeed[];
  /** True if cables that carry no power are drawn lighter. */
  isPower: boolean;
  /** What the selection is about; all else is drawn lighter. Null if nothing is selected. */
  chosen: { cables: ReadonlySet<string>; holes: ReadonlySet<string> } | null;
}

export type SelectionKind =
  | "room"
  | "wall"
  | "opening"
  | "part"
  | "keynote"
  | "outlet"
  | "device"
  | "demarcation"
  | "cable"
  | "hole";

export interface Selection {
  kind: SelectionKind;
  id: string;
}
