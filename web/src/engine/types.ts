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

// Cables and power

export type Way = Schemas["Way"];
export type Stretch = Schemas["Stretch"];
export type HoleKind = Schemas["HoleKind"];
export type Hole = Schemas["Hole"];
export type Made = Schemas["Made"];
export type CableRoute = Schemas["CableRoute"];
export type Gap = Schemas["Gap"];
export type Wiring = Schemas["Wiring"];
export type CableRow = Schemas["CableRow"];
export type PortRow = Schemas["PortRow"];
export type PortSheet = Schemas["PortSheet"];
export type FedRow = Schemas["FedRow"];
export type StartStep = Schemas["StartStep"];
export type SupplyRow = Schemas["SupplyRow"];
export type BundleRow = Schemas["BundleRow"];
export type PanelPlace = Schemas["PanelPlace"];
export type PanelRow = Schemas["PanelRow"];
export type WireSheet = Schemas["WireSheet"];
export type CablingAnswer = Schemas["CablingAnswer"];

// Cost

/** A sum of money as the server writes it, in exact decimals: `1250.00 EUR`. */
export type Money = string;
/** A share as the server writes it: `12.5 %`. */
export type PercentText = string;

export interface TakeOffLine {
  part: string;
  name: string;
  quantity: number;
  unit: string;
  unit_price: Money | null;
  price: Money | null;
}
export interface Spool {
  length: number;
  links: string[];
  left: number;
}
export interface Spools {
  cable: string;
  open: number;
  spools: Spool[];
  cut: number;
  bought: number;
  left: number;
  bound: number;
}
export interface Order {
  part: string;
  needed: number;
  in_stock: number;
  order: number | null;
  unit: string;
}
export interface LabourLine {
  task: string;
  quantity: number;
  time: number;
}
export interface Hours {
  p20: number;
  p50: number;
  p80: number;
}
export interface Crew {
  people: number;
  days: number | null;
  days_p80: number | null;
  hours_by_two: number;
}
export interface CableLength {
  link: string;
  length: number;
  penetrations: number;
  estimate: boolean;
}
export interface Breakdown {
  parts: Money;
  hours: string;
  rate: Money;
  labour: Money;
  overhead: Money;
  margin: Money;
  to_minimum: Money;
  net: Money;
  taxes: { name: string; amount: Money }[];
  tax: Money;
  total: Money;
  low: Money;
  high: Money;
  stages: { due: string; amount: Money }[];
}
export interface Statement {
  kind: "assumption" | "risk" | "exclusion";
  id: string;
  text: string;
  reason: string;
  subjects: string[];
}
export interface UnitRate {
  id: string;
  what: string;
  price: Money | null;
  missing: string[];
  reason: string;
}
export interface Quote {
  take_off: TakeOffLine[];
  spools: Spools[];
  orders: Order[];
  labour: LabourLine[];
  hours: Hours;
  crew: Crew;
  routes: CableLength[];
  price: Breakdown | null;
  valid_until: string | null;
  statements: Statement[];
  extras: UnitRate[];
  figures: Figure[];
  findings: Finding[];
}
export type Access = "open-walls" | "attic-or-crawl-space" | "outside" | "finished" | "solid";
/** Terms of a quote; the document may leave out what is as by default. */
export interface Terms {
  labour_rate?: Money | null;
  hour_step?: number | null;
  overhead: PercentText;
  margin: PercentText;
  minimum_charge?: Money | null;
  taxes: { name: string; rate: PercentText }[];
  valid_days: number;
  stages: { due: string; share: PercentText }[];
  generic_price_spread: PercentText;
  access?: Access | null;
  crew: number;
  day: number;
  return_visits: number;
}
export type Caution = Schemas["Caution"];
export interface CostAnswer {
  revision: number;
  design: Schemas["Design"];
  quote: Quote;
  cautions: Caution[];
  terms: Terms;
}
export type FigureDifference = Schemas["FigureDifference"];
export interface OfferStep {
  tier: "good" | "better" | "best";
  option: string;
  rank: number;
  recommended: boolean;
  price: number;
  currency: string;
  adds: FigureDifference[];
  costs: FigureDifference[];
  mends: string[];
  reason: string;
}
export interface OfferAnswer {
  revision: number;
  steps: OfferStep[];
}

// Staying up

export type Source = Schemas["Source"];
export type ComponentKind =
  | "mains"
  | "circuit"
  | "line"
  | "line-backup"
  | "part"
  | "cable"
  | "radio"
  | "shared-way"
  | "device";
/** A value with its 90 % interval, its bounds, and how many digits it bears. */
export interface Interval {
  value: number;
  low: number;
  high: number;
  least: number;
  most: number;
  digits: number;
}
export interface Member {
  id: string;
  kind: ComponentKind;
  longer_than_min: number | null;
}
export interface CutSet {
  members: Member[];
  minutes: number | null;
}
export interface Importance {
  id: string;
  kind: ComponentKind;
  birnbaum: number;
  criticality: number;
  fussell_vesely: number;
}
export interface MainsEffect {
  outlasts: number | null;
  if_line_holds: boolean;
  ridden: number | null;
  ridden_long_tailed: number | null;
  minutes: number | null;
  minutes_long_tailed: number | null;
}
export interface Alternative {
  kind: "access-point" | "failover";
  by: string;
  rate_share: number | null;
}
export interface ServiceRow {
  id: string;
  kind: "internet" | "connection" | "activity";
  device: string | null;
  must_stay_up: boolean;
  availability: Interval | null;
  minutes: Interval | null;
  usual_minutes: number | null;
  minutes_if_line_dies: number | null;
  missing: string[];
  single_points: Member[];
  cuts: CutSet[];
  cuts_complete_to: number;
  importances: Importance[];
  alternatives: Alternative[];
  mains: MainsEffect;
}
export interface ComponentRow {
  id: string;
  kind: ComponentKind;
  minutes: Interval | null;
  taken_to_hold: boolean;
  missing: string | null;
  source: Source;
  takes_down: string[];
  by_alternative: string[];
}
export interface BatteryRow {
  id: string;
  items: { id: string; load: number; lost: number; over: string | null }[];
  load: number;
  drawn: number;
  runtime: number | null;
  runtime_low: number | null;
  runtime_high: number | null;
  stages: { from: number; to: number; load: number }[];
  curve: { load: number; runtime: number }[];
  recharge: number | null;
  standby_kwh: number;
  problem: string | null;
}
/** A device that runs on its own battery. */
export interface OwnBatteryRow {
  device: string;
  runtime: number | null;
  /** Its energy or its draw is a generic figure of its kind. */
  is_generic: boolean;
}
export interface OutageRow {
  id: string;
  kind: ComponentKind;
  a_year: number | null;
  mean: number | null;
  minutes: Interval | null;
  law: string;
  far_end: number | null;
  source: Source;
}
/** What a single change to the design is. */
export type ChangeKind =
  | { change: "battery"; supply: string; feeds: string[] }
  | { change: "on-battery"; supply: string; part: string }
  | { change: "patch"; device: string; into: string }
  | { change: "spare"; part: string; mttr: number }
  | { change: "second-line"; line: { kind: LineKind }; termination: string }
  | { change: "second-access-point"; beside: string; rate_share: number };
/** A single change, by the minutes of what must stay up that it saves for its price. */
export interface HelpfulChange {
  /** Its price is that of the parts, without work. */
  change: { id: string; price: number | null } & ChangeKind;
  saves: {
    id: string;
    work_minutes: number | null;
    other_minutes: number | null;
    work_minutes_per_unit: number | null;
    other_minutes_per_unit: number | null;
    problem: string | null;
  };
}
export interface Staying {
  design: string;
  services: ServiceRow[];
  components: ComponentRow[];
  batteries: BatteryRow[];
  own_batteries: OwnBatteryRow[];
  outages: OutageRow[];
  findings: Finding[];
  assumptions: string[];
}
export interface StayingAnswer {
  revision: number;
  design: Schemas["Design"];
  staying: Staying;
  changes: HelpfulChange[];
}
export type ServiceState = "up" | "alternative" | "down" | "unknown";
export interface Fared {
  id: string;
  kind: ServiceRow["kind"];
  must_stay_up: boolean;
  state: ServiceState;
  alternatives: Alternative[];
  before: number | null;
  after: number | null;
  minutes_lost: number | null;
  if_line_holds: boolean;
}
export interface WhatIfAnswer {
  revision: number;
  design: Schemas["Design"];
  what_if: { without_effect: string[]; services: Fared[] };
}
