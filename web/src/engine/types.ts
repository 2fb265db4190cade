/**
 * What the server sends and takes, by the names that the page uses. The types are generated from the server's
 * description (`api.d.ts`); SI units throughout; what is unknown is null and says what is missing.
 */

import type { components } from "./api.d.ts";

type Schemas = components["schemas"];

/** A point of a storey's plan, metres. */
export type P = Schemas["Point2"];

/** A point in space, metres; z from the building's zero level. */
export type P3 = Schemas["Point3"];

export type Units = Schemas["UnitSystem"];
export type MapBand = Schemas["MapBand"];
export type MapQuantity = Schemas["MapAnswer"]["quantity"];

export type JobSummary = Schemas["JobSummary"];
export type JobAnswer = Schemas["JobAnswer"];
export type JobDocument = Schemas["Job"];
export type EditAnswer = Schemas["HeadAnswer"];
export type HistoryEntry = Schemas["HistoryEntry"];
export type Demo = Schemas["DemoSummary"];
export type Country = Schemas["Country"];
export type Imported = Schemas["Imported"];
export type ImportReport = Schemas["ImportReport"];

export type Edit = Schemas["Edit"];
export type Remedy = Schemas["Remedy"];
export type Severity = Schemas["Severity"];
export type Finding = Schemas["Finding"];
export type Figure = Schemas["Figure"];

export type Family = Schemas["Family"];
export type Design = Schemas["Design"];
export type DesignOption = Schemas["DesignOption"];
export type Comparison = Schemas["Comparison"];
export type Plan = Schemas["Plan"];
export type PlanAnswer = Schemas["PlanAnswer"];
export type AssessmentAnswer = Schemas["AssessmentAnswer"];

export type House = Schemas["House"];
export type Storey = Schemas["PlanStorey"];
export type Wall = Schemas["PlanWall"];
export type Opening = Schemas["PlanOpening"];
export type Room = Schemas["PlanRoom"];
export type Outlet = Schemas["PlanOutlet"];

export type CoverageMap = Schemas["MapAnswer"];
export type Probe = Schemas["ProbeAnswer"];

export type Problem = Schemas["Problem"];
export type FieldProblem = Schemas["FieldProblem"];

export type LiveRequest = Schemas["LiveRequest"];
export type LiveAnswer = Schemas["LiveAnswer"];

export type Construction = Schemas["Construction"];
export type Attached = Schemas["Attached"];
export type LineKind = Schemas["LineKind"];
/** All eight answers; the page leaves none of them to the server's defaults. */
export type NewHome = Required<Schemas["NewHome"]> & { rooms: Required<Schemas["Rooms"]> };

export type Band = Schemas["Band"];
export type ActivityKind = Schemas["ActivityKind"];
export type DeviceKind = Schemas["DeviceKind"];

/** A quantity over the sampled evenings: half are worse than `median`, one of twenty is worse than `poor`. */
export type Spread = Schemas["Spread"];
export type BusyHour = Schemas["BusyHour"];
export type ChannelHour = Schemas["ChannelHour"];
export type UplinkHour = Schemas["UplinkHour"];
export type LineHour = Schemas["LineHour"];
export type ActivityHour = Schemas["ActivityHour"];
export type RecordingHour = Schemas["RecordingHour"];
export type Bottleneck = Schemas["Bottleneck"];
export type PlannedRadio = Schemas["PlannedRadio"];
export type ThingChannel = Schemas["ThingChannel"];
export type ThingLink = Schemas["ThingLink"];
export type Join = Schemas["Join"];
export type CapacityAnswer = Schemas["CapacityAnswer"];

// Cables and power. Written by hand until the server's description has them.

/** What a stretch of cable runs in or on. */
export type Way =
  | "stud-bay"
  | "joist-bay"
  | "across-joists"
  | "ceiling-void"
  | "attic"
  | "crawl-space"
  | "open-ceiling"
  | "riser"
  | "conduit"
  | "raceway"
  | "chase"
  | "facade"
  | "buried"
  | "existing"
  | "open"
  | "through"
  | "under-door";

export interface Stretch {
  way: Way;
  element: string | null;
  from: P3;
  to: P3;
}

export type HoleKind = "wall" | "party-wall" | "outer-wall" | "floor" | "plate" | "joist";

export interface Hole {
  id: string;
  kind: HoleKind;
  element: string;
  at: P3;
  depth: number;
  diameter: number;
  links: string[];
  fire_seal: boolean;
}

export interface Made {
  stretch: Stretch;
  links: string[];
}

export interface CableRoute {
  link: string;
  label: string;
  cable: string;
  stretches: Stretch[];
  holes: string[];
  way_length: number;
  length: Figure;
  existing: boolean;
}

export type Gap = NonNullable<DesignOption["gap"]>;

export interface Wiring {
  routes: CableRoute[];
  holes: Hole[];
  made: Made[];
  gap: Gap | null;
  graph_places: number;
  graph_ways: number;
}

export interface CableRow {
  link: string;
  label: string;
  cable: string | null;
  category: string;
  fixed_length: Figure;
  channel_length: Figure;
  most_cord: Figure;
  loss_margin: Figure;
  loop_resistance: Figure;
  delay: Figure;
  skew: Figure;
  /** An Ethernet by the standard's name, such as `2.5GBASE-T`. */
  fastest: string | null;
  fastest_if_quiet: string | null;
  bend_radius_mm: number | null;
  most_pull_n: number | null;
  ways: Way[];
}

export interface PortRow {
  port: string;
  exists: boolean;
  link: string | null;
  to: string | null;
  rate: number | null;
  gives_class: number | null;
  feeds_class: number | null;
}

export interface PortSheet {
  part: string;
  ports: PortRow[];
  spare: number;
  oversubscription: number | null;
}

export interface FedRow {
  part: string;
  class: number;
  pairs: "two" | "four" | null;
  draw: number;
  at_port: Figure;
  voltage: Figure;
  least_voltage: number | null;
  current: Figure;
}

export interface StartStep {
  after: number;
  parts: string[];
  peak: number;
}

export interface SupplyRow {
  supply: string;
  budget: number | null;
  worst_draw: Figure;
  margin: Figure;
  own_loss: Figure;
  fed: FedRow[];
  start: { steps: StartStep[]; together: number; fits: boolean };
}

export interface BundleRow {
  links: string[];
  powered: number;
  way: Way;
  length: number;
  ambient: number;
  rise: Figure;
  section_mm2: number;
  least_pipe_mm: number;
}

export interface PanelPlace {
  unit: number;
  height: number;
  part: string;
  heat_w: number;
}

export interface PanelRow {
  room: string;
  panel: string | null;
  rows: PanelPlace[];
  units_used: number;
  units: number;
  ports: number;
  ports_used: number;
  heat: Figure;
  heat_btu_h: Figure;
  rise: Figure;
  plugs: number;
  duplex_outlets: number;
}

export interface WireSheet {
  cables: CableRow[];
  ports: PortSheet[];
  supplies: SupplyRow[];
  bundles: BundleRow[];
  panels: PanelRow[];
  notes: string[];
}

export interface CablingAnswer {
  revision: number;
  design: Design;
  wiring: Wiring;
  wires: WireSheet;
}
// Cost; a sum of money is written `1250.00 EUR`, a share `12.5 %`, both in exact decimals.

export type TakeOffLine = Schemas["TakeOffLine"];
export type Spool = Schemas["Spool"];
export type Spools = Schemas["Spools"];
export type Order = Schemas["Order"];
export type LabourLine = Schemas["LabourLine"];
export type Hours = Schemas["Hours"];
export type Crew = Schemas["Crew"];
export type Breakdown = Schemas["Breakdown"];
export type Statement = Schemas["Statement"];
export type UnitRate = Schemas["UnitRate"];
export type Quote = Schemas["Quote"];
export type Access = Schemas["Access"];
export type Terms = Schemas["Terms"];
export type Caution = Schemas["Caution"];
export type CostAnswer = Schemas["CostAnswer"];
export type FigureDifference = Schemas["FigureDifference"];
export type OfferAnswer = Schemas["OfferAnswer"];
export type CableLength = Schemas["Route"];
export type OfferStep = Schemas["Choice"];

// Staying up

export type Source = Schemas["Source"];
export type ComponentKind = Schemas["ComponentKind"];
export type Interval = Schemas["Interval"];
export type Member = Schemas["Member"];
export type CutSet = Schemas["CutSet"];
export type Importance = Schemas["Importance"];
export type MainsEffect = Schemas["MainsEffect"];
export type Alternative = Schemas["Alternative"];
export type ServiceRow = Schemas["ServiceRow"];
export type ComponentRow = Schemas["ComponentRow"];
export type BatteryRow = Schemas["BatteryRow"];
export type OwnBatteryRow = Schemas["OwnBatteryRow"];
export type OutageRow = Schemas["OutageRow"];
export type Staying = Schemas["Staying"];
export type ServiceState = Schemas["ServiceState"];
export type Fared = Schemas["Fared"];
export type WhatIfAnswer = Schemas["WhatIfAnswer"];
export type HelpfulChange = Schemas["Helpful"];
export type StayingAnswer = Schemas["ResilienceAnswer"];
