/** What the page shows, as its address says it, and back. Every view has one, so that it can be kept and shared. */

import type { MapBand, MapQuantity } from "../engine/types.ts";

export type SheetName =
  | "house"
  | "options"
  | "coverage"
  | "capacity"
  | "cabling"
  | "power"
  | "resilience"
  | "cost";
export const sheetNames: readonly SheetName[] = [
  "house",
  "options",
  "coverage",
  "capacity",
  "cabling",
  "power",
  "resilience",
  "cost",
];

/** The schedules of the capacity sheet. */
export type ScheduleName = "channels" | "devices" | "activities" | "line" | "uplinks" | "recordings" | "plan";
export const scheduleNames: readonly ScheduleName[] = [
  "channels",
  "devices",
  "activities",
  "line",
  "uplinks",
  "recordings",
  "plan",
];

/** The schedules of the cabling sheet, and of the power sheet. */
export const cablingParts = ["cables", "holes", "pathways", "made", "bundles", "ports", "panel"] as const;
export type CablingPart = (typeof cablingParts)[number];
export const powerParts = ["supplies", "fed", "warmth", "start", "batteries", "loads", "feeds"] as const;
export type PowerPart = (typeof powerParts)[number];

/** The schedules of the cost sheet. */
export const costParts = [
  "price",
  "take-off",
  "spools",
  "orders",
  "work",
  "extras",
  "statements",
  "cautions",
  "offers",
  "terms",
] as const;
export type CostPart = (typeof costParts)[number];

/** The schedules of the resilience sheet. */
export const stayParts = [
  "services",
  "cuts",
  "importances",
  "components",
  "outages",
  "batteries",
  "changes",
] as const;
export type StayPart = (typeof stayParts)[number];

/** By which column a schedule is sorted; `isDown` puts the greatest first. */
export interface SortedBy {
  column: string;
  isDown: boolean;
}

/** `channel` is of a radio, by part and band such as `ap-1:5`; `uplink` is named by its far part; `goods` are of one kind of equipment; `component` is what can fail and is no
 * part, device or line; `statement` is of an offer. */
export type SelectedKind =
  | "room"
  | "wall"
  | "opening"
  | "part"
  | "keynote"
  | "outlet"
  | "device"
  | "activity"
  | "channel"
  | "uplink"
  | "line"
  | "cable"
  | "hole"
  | "goods"
  | "statement"
  | "component";

export interface Selected {
  kind: SelectedKind;
  id: string;
}

export interface JobView {
  page: "job";
  id: string;
  sheet: SheetName;
  /** The design that is shown; the best option when absent. */
  design: string | null;
  /** The design that the figures are compared with. */
  pinned: string | null;
  /** The storey, or `all`; the first that people live on when absent. */
  storey: string | null;
  band: MapBand;
  quantity: MapQuantity;
  schedule: ScheduleName;
  /** Activities that do not get what they need come first. */
  unmetFirst: boolean;
  selected: Selected | null;
  cablingPart: CablingPart;
  powerPart: PowerPart;
  costPart: CostPart;
  stayPart: StayPart;
  /** The service that is looked at; the first that must stay up when absent. */
  service: string | null;
  /** The cut set of that service which the plan shows, from 0. */
  cut: number | null;
  /** What is switched off for the question what then fails, in the order in which it was. */
  off: readonly string[];
  /** For how many minutes the mains or circuits that are off have been out; for good when absent. */
  outMinutes: number | null;
  /** How the schedule is sorted, and the words that its rows have; as it came where these are absent. */
  sort: SortedBy | null;
  find: string;
}

export type View =
  | { page: "jobs"; archived: boolean }
  | { page: "new" }
  | { page: "import" }
  | JobView
  | { page: "nowhere"; path: string };

const bands: readonly string[] = ["2.4", "5", "6", "any"];
const quantities: readonly string[] = ["level", "rate", "probability"];
const kinds: readonly string[] = [
  "room",
  "wall",
  "opening",
  "part",
  "keynote",
  "outlet",
  "device",
  "activity",
  "channel",
  "uplink",
  "line",
  "cable",
  "hole",
  "goods",
  "statement",
  "component",
] satisfies SelectedKind[];

export function jobView(id: string, sheet: SheetName = "house"): JobView {
  return {
    page: "job",
    id,
    sheet,
    design: null,
    pinned: null,
    storey: null,
    band: "any",
    quantity: "level",
    schedule: "channels",
    unmetFirst: false,
    selected: null,
    cablingPart: "cables",
    powerPart: "supplies",
    costPart: "take-off",
    stayPart: "services",
    service: null,
    cut: null,
    off: [],
    outMinutes: null,
    sort: null,
    find: "",
  };
}

function oneOf<Name extends string>(names: readonly Name[], text: string | null): Name | null {
  return (names as readonly (string | null)[]).includes(text) ? (text as Name) : null;
}

/** A whole number with at most so many digits. */
function wholeFrom(text: string | null, digits: number): number | null {
  return text !== null && /^\d+$/.test(text) && text.length <= digits ? Number(text) : null;
}

function decode(step: string): string | null {
  try {
    return decodeURIComponent(step);
  } catch {
    return null;
  }
}

function selectedFrom(text: string | null): Selected | null {
  const at = text?.indexOf(":") ?? -1;
  if (!text || at < 1) return null;
  const kind = text.slice(0, at);
  return kinds.includes(kind) ? { kind: kind as SelectedKind, id: text.slice(at + 1) } : null;
}

function sortFrom(text: string | null): SortedBy | null {
  const [, column, way] = text?.match(/^([a-z0-9-]+)(\.down)?$/) ?? [];
  return column === undefined ? null : { column, isDown: way !== undefined };
}

export function viewFrom(path: string, search: string): View {
  const query = new URLSearchParams(search);
  const steps = path.split("/").filter((step) => step !== "");
  const [first, second, third] = steps;
  if (first === undefined) return { page: "jobs", archived: query.get("archived") === "true" };
  if (first === "new" && steps.length === 1) return { page: "new" };
  if (first === "import" && steps.length === 1) return { page: "import" };
  const id = second === undefined ? null : decode(second);
  if (first !== "jobs" || !id || steps.length > 3) return { page: "nowhere", path };
  const sheet = (third ?? "house") as SheetName;
  if (!sheetNames.includes(sheet)) return { page: "nowhere", path };
  const band = query.get("band") ?? "any";
  const quantity = query.get("quantity") ?? "level";
  const schedule = (query.get("schedule") ?? "channels") as ScheduleName;
  return {
    page: "job",
    id,
    sheet,
    design: query.get("design"),
    pinned: query.get("pinned"),
    storey: query.get("storey"),
    band: bands.includes(band) ? (band as MapBand) : "any",
    quantity: quantities.includes(quantity) ? (quantity as MapQuantity) : "level",
    schedule: scheduleNames.includes(schedule) ? schedule : "channels",
    unmetFirst: query.get("order") === "unmet",
    selected: selectedFrom(query.get("selected")),
    cablingPart: oneOf(cablingParts, query.get("cabling")) ?? "cables",
    powerPart: oneOf(powerParts, query.get("power")) ?? "supplies",
    costPart: oneOf(costParts, query.get("cost")) ?? "take-off",
    stayPart: oneOf(stayParts, query.get("stay")) ?? "services",
    service: query.get("service"),
    cut: wholeFrom(query.get("cut"), 4),
    outMinutes: wholeFrom(query.get("minutes"), 6),
    off: [...new Set((query.get("off") ?? "").split(",").filter((id) => id !== ""))],
    sort: sortFrom(query.get("sort")),
    find: query.get("find") ?? "",
  };
}

export function addressOf(view: View): string {
  switch (view.page) {
    case "jobs":
      return view.archived ? "/?archived=true" : "/";
    case "new":
      return "/new";
    case "import":
      return "/import";
    case "nowhere":
      return view.path;
    case "job": {
      const query = new URLSearchParams();
      if (view.design !== null) query.set("design", view.design);
      if (view.pinned !== null) query.set("pinned", view.pinned);
      if (view.storey !== null) query.set("storey", view.storey);
      if (view.band !== "any") query.set("band", view.band);
      if (view.quantity !== "level") query.set("quantity", view.quantity);
      if (view.schedule !== "channels") query.set("schedule", view.schedule);
      if (view.unmetFirst) query.set("order", "unmet");
      if (view.selected) query.set("selected", `${view.selected.kind}:${view.selected.id}`);
      if (view.cablingPart !== "cables") query.set("cabling", view.cablingPart);
      if (view.powerPart !== "supplies") query.set("power", view.powerPart);
      if (view.costPart !== "take-off") query.set("cost", view.costPart);
      if (view.stayPart !== "services") query.set("stay", view.stayPart);
      if (view.service !== null) query.set("service", view.service);
      if (view.cut !== null) query.set("cut", String(view.cut));
      if (view.off.length > 0) query.set("off", view.off.join(","));
      if (view.outMinutes !== null) query.set("minutes", String(view.outMinutes));
      if (view.sort) query.set("sort", `${view.sort.column}${view.sort.isDown ? ".down" : ""}`);
      if (view.find !== "") query.set("find", view.find);
      const search = query.size > 0 ? `?${query}` : "";
      return `/jobs/${encodeURIComponent(view.id)}/${view.sheet}${search}`;
    }
  }
}
