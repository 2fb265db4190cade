/** What the page shows, as its address says it, and back. Every view has one, so that it can be kept and shared. */

import type { MapBand, MapQuantity } from "../engine/types.ts";

export type SheetName = "house" | "options" | "coverage" | "capacity";
export const sheetNames: readonly SheetName[] = ["house", "options", "coverage", "capacity"];

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

/** `channel` is of a radio, by part and band such as `ap-1:5`; `uplink` is named by its far part. */
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
  | "line";

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
  };
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
      const search = query.size > 0 ? `?${query}` : "";
      return `/jobs/${encodeURIComponent(view.id)}/${view.sheet}${search}`;
    }
  }
}
