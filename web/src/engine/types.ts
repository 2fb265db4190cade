/** What the server sends and takes. SI units throughout; what is unknown is null and says what is missing. */

/** A point of a storey's plan, metres. */
export type P = [number, number];
/** A point of the building, metres. */
export type P3 = [number, number, number];

export type Units = "metric" | "feet-inches";
export type Band = "2.4" | "5" | "6";
export type MapBand = Band | "any";
export type MapQuantity = "level" | "rate" | "probability";

export interface JobSummary {
  id: string;
  name: string;
  revision: number;
  archived: boolean;
  created_at: string;
  changed_at: string;
  country: string | null;
  units: Units;
  floor_area_m2: number | null;
  storeys: number | null;
  rooms: number | null;
  people: number | null;
  designs: number | null;
}

export interface Source {
  kind: string;
  cite: string;
  from_memory?: boolean;
}

export interface Quantity {
  value: number;
  unit: string;
}

export interface Edit {
  kind: "set" | "insert" | "remove";
  path: string;
  value?: unknown;
  position?: number;
}

export interface Remedy {
  text: string;
  edits?: Edit[];
}

export type Severity = "unsafe" | "fails" | "risk" | "note";

export interface Finding {
  rule: string;
  severity: Severity;
  subjects: string[];
  message: string;
  measured: Quantity | null;
  limit: Quantity | null;
  source: Source;
  place?: { storey: string; at: P } | null;
  remedies?: Remedy[];
}

export interface Figure {
  id: string;
  subject: string;
  value: number | null;
  unit: string;
  low: number | null;
  high: number | null;
  confidence: number | null;
  estimate?: boolean;
  missing?: string[];
  inputs?: { name: string; value: number; unit: string }[];
  sources: Source[];
}

export type Family =
  | "gateway"
  | "own-router"
  | "access-switch"
  | "protected-path"
  | "radio-backhaul"
  | "wired-backhaul"
  | "poe-ceiling"
  | "home-run-panel"
  | "existing-wires"
  | "outbuilding"
  | "two-lines";

export interface PlacedPart {
  id: string;
  part: string;
  room: string;
  at: P3;
  mounting: "ceiling" | "wall" | "shelf" | "panel";
  kept?: boolean;
}

export type Medium = { over: "cable"; part: string } | { over: "cord" } | { over: "radio"; band: Band };

export interface Link {
  id: string;
  from: string;
  to: string;
  medium: Medium;
}

export interface Design {
  id: string;
  name: string;
  family: Family;
  parts: PlacedPart[];
  links?: Link[];
  radios?: { part: string; band: Band; centre: number; width: number; eirp: number }[];
  segments?: { id: string; purpose: string; devices?: string[] }[];
  feeds?: { part: string; source: { from: string; outlet?: string; part?: string } }[];
}

export interface FigureDifference {
  figure: string;
  this: number;
  other: number;
  unit: string;
}

export interface Comparison {
  option: string;
  figures: FigureDifference[];
}

export interface DesignOption {
  id: string;
  family: Family;
  design: Design;
  figures: Figure[];
  findings: Finding[];
  gap: { figure: string; found: number; bound: number; method: string } | null;
  beats: Comparison[];
  beaten_by: Comparison[];
}

export interface Plan {
  assumptions: string[];
  options: DesignOption[];
  excluded: { family: Family; reason: string }[];
}

export interface PlanAnswer {
  revision: number;
  plan: Plan;
}

export interface AssessmentAnswer {
  revision: number;
  option: DesignOption;
}

export interface Wall {
  id: string;
  kind: "inside" | "outer" | "party";
  assembly: string;
  assembly_name: string;
  thickness_m: number;
  length_m: number;
  /** Polygons of the wall cut 1.2 m above the floor, joined at corners. */
  solids: P[][];
}

export interface Opening {
  id: string;
  wall: string;
  kind: "door" | "window" | "gap";
  /** Jambs on the wall's centre line. */
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
  use: string;
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

export interface PlanObject {
  id: string;
  name: string;
  outline: P[];
}

export interface Storey {
  id: string;
  name: string;
  use: string;
  floor_z: number;
  ceiling_z: number;
  walls: Wall[];
  openings: Opening[];
  rooms: Room[];
  stairs: Stair[];
  outlets: Outlet[];
  objects: PlanObject[];
}

export interface House {
  revision: number;
  name: string;
  units: Units;
  north_deg: number;
  bounds: { min: P; max: P };
  demarcation: { storey: string; at: P } | null;
  storeys: Storey[];
}

export interface CoverageMap {
  revision: number;
  design: string;
  storey: string;
  band: MapBand;
  quantity: MapQuantity;
  unit: string;
  /** Cell (row, column) has its centre at origin + ((column + ½) cell, (row + ½) cell); row 0 is the lowest y. */
  origin: P;
  cell: number;
  rows: number;
  columns: number;
  /** Row-major; null outside all rooms, or where nothing arrives. */
  values: (number | null)[];
  /** How far the cell is above (+) or below (−) its room's target, 95 % of the time; the target line is 0. */
  margin_db: (number | null)[];
  /** Index into the storey's rooms of the house. */
  room: (number | null)[];
  levels: number[];
  /** What is missing where the map is empty or in part empty. */
  missing?: string[];
}

export interface ProbeLeg {
  label: string;
  value: number;
  unit: string;
  element: string | null;
  source: string | null;
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
  missing: string[];
  sources: string[];
}

export type Construction = "timber-frame" | "masonry-cavity" | "masonry-solid" | "concrete";
export type Attached = "detached" | "semi-detached" | "terraced" | "flat";
export type LineKind = "fibre" | "coax" | "dsl" | "fixed-wireless" | "satellite" | "mobile";

export interface NewHome {
  name: string;
  country: string;
  floor_area_m2: number;
  storeys: number;
  basement: boolean;
  attic: boolean;
  construction: Construction;
  attached: Attached;
  rooms: { bedrooms: number; bathrooms: number; offices: number; utility: boolean; open_kitchen: boolean };
  people: number;
  may_drill: boolean;
  line: { kind: LineKind; down_bps: number; up_bps: number };
  seed: number;
}

/** The parts of a job document that the page reads; it passes the rest on untouched. */
export interface JobDocument {
  format: string;
  name: string;
  notes?: string[];
  site: { country: string; currency: string; units?: Units; language?: string; date: string };
  building: {
    assemblies?: { id: string; name?: string; [key: string]: unknown }[];
    walls?: { id: string; assembly?: string; [key: string]: unknown }[];
    rooms?: { id: string; name: string; [key: string]: unknown }[];
    [key: string]: unknown;
  };
  designs?: Design[];
  [key: string]: unknown;
}

export interface UndoState {
  can_undo: boolean;
  can_redo: boolean;
  undo_label: string | null;
  redo_label: string | null;
}

export interface JobAnswer extends UndoState {
  job: JobSummary;
  document: JobDocument;
  problems: Finding[];
}

export interface EditAnswer extends UndoState {
  revision: number;
}

export interface HistoryEntry {
  seq: number;
  revision: number;
  at: string;
  who: string | null;
  label: string;
  kind: "edit" | "undo" | "redo";
  undone: boolean;
}

export interface Demo {
  id: string;
  name: string;
  summary: string;
  country: string;
  storeys: number;
  rooms: number;
  floor_area_m2: number | null;
}

export interface ImportReport {
  understood: string[];
  guessed: string[];
  left_out: string[];
  /** What the job needs and the model cannot say. */
  assumed?: string[];
}

export interface FieldProblem {
  path: string;
  message: string;
  hint: string | null;
}

/** RFC 9457 problem details, as the server sends them. */
export interface Problem {
  type: string;
  title: string;
  status: number;
  detail: string;
  problems?: FieldProblem[];
  /** The job's revision, with a refused stale edit. */
  revision?: number;
  /** The model's dwellings, when one has to be named. */
  dwellings?: string[];
}

export type LiveRequest =
  | { type: "plan"; request: number }
  | {
      type: "map";
      request: number;
      design: string;
      storey: string;
      band: MapBand;
      quantity: MapQuantity;
    }
  | { type: "cancel"; request: number };

export type LiveAnswer =
  | { type: "progress"; request: number; step: string; done: number; total: number }
  | { type: "plan"; request: number; revision: number; plan: Plan }
  | { type: "map"; request: number; map: CoverageMap }
  | { type: "failed"; request: number; problem: Problem }
  | { type: "cancelled"; request: number }
  | { type: "changed"; revision: number };
