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
