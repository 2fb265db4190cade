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
export interface Spread {
  median: number;
  poor: number;
}

/** A channel in the busy hour; shares are of its time. */
export interface ChannelHour {
  part: string;
  band: Band;
  centre: number;
  width: number;
  shared_with: string[];
  devices: number;
  own: Spread;
  collided: Spread;
  beacons: number;
  neighbours: number;
  busy: Spread;
  limit: number;
  overloaded: number;
}

/** A way between parts in the busy hour. */
export interface UplinkHour {
  part: string;
  parent: string;
  band: Band | null;
  rate_down: number;
  rate_up: number;
  down: Spread;
  up: Spread;
  limit: number;
}

export type LineQueue = { kind: "plain" } | { kind: "fair"; share: number };

/** The line in the busy hour. */
export interface LineHour {
  line: string;
  rate_down: number;
  rate_up: number;
  queue: LineQueue;
  down: Spread;
  up: Spread;
  limit: number;
  wait_plain: Spread;
  wait_fair: Spread;
  wait_plain_down: Spread;
  wait_fair_down: Spread;
  suffices: { down: number | null; up: number | null };
}

export type Carrier = "link" | "channel" | "radio-uplink" | "cable" | "line-down" | "line-up" | "delay";

/** What is full first, and by how much. */
export interface Bottleneck {
  carrier: Carrier;
  subject: string;
  band: Band | null;
  load: number;
  limit: number;
}

/** Something that is done in the busy hour, while it is done. */
export interface ActivityHour {
  id: string;
  cause: "activity" | "recording";
  kind: ActivityKind;
  device: string;
  device_kind: DeviceKind;
  runs: number;
  needs_down: number;
  needs_up: number;
  down: Spread | null;
  up: Spread | null;
  delay: Spread | null;
  max_delay: number | null;
  loss: Spread | null;
  rating: Spread | null;
  opinion: Spread | null;
  met: number | null;
  held_back_by: Bottleneck | null;
}

/** What a camera keeps. */
export interface RecordingHour {
  device: string;
  cameras: number;
  store: string | null;
  octets_a_day: number;
  wanted: number;
  needed_octets: number;
  has_octets: number | null;
  keeps: number | null;
}

/** The busy hour of a design. */
export interface BusyHour {
  hour: number | null;
  evenings: number;
  channels: ChannelHour[];
  uplinks: UplinkHour[];
  line: LineHour | null;
  activities: ActivityHour[];
  recordings: RecordingHour[];
  bottleneck: Bottleneck | null;
  sources: Schemas["Source"][];
}

/** Where a radio goes when radar closes its channel. */
export interface FallbackRadio {
  channel: number | null;
  width: number | null;
  eirp: number | null;
  silence: number;
  why: string;
}

/** A radio as it is set. */
export interface PlannedRadio {
  part: string;
  band: Band;
  channel: number | null;
  centre: number;
  width: number;
  eirp: number;
  eirp_limit: number | null;
  rule: Schemas["Source"] | null;
  radar: boolean;
  fallback: FallbackRadio | null;
}

/** A channel of IEEE 802.15.4 beside the Wi-Fi that is heard. */
export interface ThingChannel {
  channel: number;
  success: number;
  clear: boolean;
}

export interface RadioPlan {
  radios: PlannedRadio[];
  thing_channels: ThingChannel[];
  thing_channel_now: number | null;
  thing_channel_advice: string | null;
}

/** Which access point a device joins. */
export interface Join {
  device: string;
  device_kind: DeviceKind;
  part: string | null;
  band: Band | null;
  level: number | null;
  next: string | null;
  margin: number | null;
  elsewhere: number | null;
  /** What the device takes of that channel's time in the busy hour, if the server says it. */
  airtime?: Spread | null;
}

/** A small thing and its hub. */
export interface ThingLink {
  network: string;
  radio: "ieee802154" | "bluetooth-le";
  device: string;
  gain: number;
  margin: number;
  reliability: number;
}

export interface CapacityAnswer {
  revision: number;
  design: Design;
  capacity: BusyHour;
  radio_plan: RadioPlan;
  joins: Join[];
  things: ThingLink[];
}
