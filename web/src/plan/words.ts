// Every text that the drawing shows or speaks.

import type { DrawnHoleKind, Opening, Outlet, Severity, Wall, WayLook } from "./contract.ts";
import type { PartKind } from "./parts.ts";

export const words = {
  plan: "plan",
  up: "UP",
  down: "DOWN",
  target: "target",
  below: "below target",
  noValue: "nothing arrives",
  stale: "Being computed again; the drawing shows the last result",
  lines: (count: number) =>
    count === 1
      ? "1 line between parts is drawn as a schema, not as a route"
      : `${count} lines between parts are drawn as a schema, not as routes`,
  schematic: "Lines between parts are schematic, not routes",
  notDrawn: (count: number) =>
    count === 1 ? "1 line to a device is not drawn" : `${count} lines to devices are not drawn`,
  airtime: "Weights of lines by airtime, changing at",
  airtimeUnit: "% of airtime",
  servedBy: (what: string) => `served by ${what}`,
  bottleneck: "full first",
  unserved: "Which part serves each device is not known",
  unweighed: "What each device takes of its channel’s time is not known",
  marks: {
    cut: "in the cut",
    off: "switched off",
    lost: "down by it",
    other: "goes on by another way",
    about: "what it is about",
  },
  middles: "Devices without a place of their own stand in the middle of their room",
  swings: "Door swings by custom; the job does not record them",
  apart: "Not to scale: storeys drawn apart, walls drawn low",
  north: "North",
  fit: "Fit the drawing",
  zoomIn: "Larger scale",
  zoomOut: "Smaller scale",
  demarcation: "Line enters",
  demarcationLong: "demarcation point of the line",
  storeys: "Storeys",
  all: "All storeys",
  selected: (text: string) => `${text}, selected`,
  nothingSelected: "Nothing selected",
  scale: (name: string, paper: string | null) =>
    paper ? `${name} on ${paper.replaceAll(" ", "\u00a0")}` : name,
  scaleMeaning: (px: string, unit: string) => `1 ${unit} is ${px} px at 96 px to the inch`,
  coarse: "Cells of 0.5 m and fewer paths while it moves",
  handle: (tag: string) => `Move ${tag}`,
  handleKeys:
    "Arrow keys move the part in steps of 0.1 m, with Shift of 0.5 m. Enter puts it down, Escape puts it back.",
  directPath: "direct",
  mirror: (what: string) => `reflected by ${what}`,
  edge: (what: string) => `round an edge of ${what}`,
  through: (count: number) => (count === 1 ? "1 crossing" : `${count} crossings`),
  floor: "the floor",
  ceiling: "the ceiling",
  wallOf: (kind: Wall["kind"], room: string | null): string =>
    room === null ? `the ${wallName[kind]}` : `the ${kind === "inside" ? "wall" : wallName[kind]} of ${room}`,
  openingOf: (kind: Opening["kind"], room: string | null): string =>
    room === null ? `the ${openingName[kind]}` : `the ${openingName[kind]} of ${room}`,
  paths: "Paths, the strongest first",
  morePaths: (count: number) => (count === 1 ? "one more path" : `${count} more paths`),
  keys: "Arrow keys move the probe or the drawing, with Shift in larger steps; with Control they move the drawing. Plus and minus change the scale, F fits the drawing. N and P go to the next and previous object. Page Up and Page Down change the storey, digits choose one, 0 shows all. Escape clears. A part that is selected on the coverage sheet has a handle, the next stop of the Tab key.",
} as const;

export const wireWords = {
  key: "Styles of line and marks",
  looks: {
    wall: "in a framed wall",
    chase: "in a groove in a wall",
    floor: "in a floor",
    void: "above a ceiling",
    attic: "in the attic",
    crawl: "under the floor",
    shaft: "in a shaft",
    conduit: "in a pipe",
    raceway: "in a surface channel",
    facade: "on the outside",
    buried: "in the ground",
    existing: "there already",
    open: "in the open",
  } satisfies Record<WayLook, string>,
  together: "2 to 5, 6 or more together",
  withoutPower: "carries no power",
  holes: {
    wall: "hole in a wall",
    "party-wall": "hole in a party wall",
    "outer-wall": "hole to the outside",
    floor: "hole in a floor",
    plate: "hole in a wall’s plate",
    joist: "hole in a joist",
  } satisfies Record<DrawnHoleKind, string>,
  sealed: "sealed against fire",
  rises: "to another storey",
  fromOutlet: "from a mains outlet",
  fromBattery: "from a battery supply",
  noOutlet: "no outlet is known near it",
  notLaid: (count: number) =>
    count === 1
      ? "1 cable has no known way and is not drawn"
      : `${count} cables have no known way and are not drawn`,
  unlettered: (count: number) =>
    count === 1
      ? "1 cable has no room for its label here"
      : `${count} cables have no room for their labels here`,
} as const;

export const severityName: Record<Severity, string> = {
  unsafe: "unsafe",
  fails: "fails",
  risk: "risk",
  note: "note",
};

export const wallName: Record<Wall["kind"], string> = {
  inside: "inside wall",
  outer: "outer wall",
  party: "party wall",
};

export const openingName: Record<Opening["kind"], string> = {
  door: "door",
  window: "window",
  gap: "opening",
};

export const outletName: Record<Outlet["kind"], string> = {
  mains: "mains outlet",
  data: "data outlet",
  coax: "coax outlet",
  phone: "phone outlet",
};

export const partName: Record<PartKind, string> = {
  "access-point": "access point",
  gateway: "gateway with radio",
  router: "router",
  switch: "switch",
  termination: "line termination",
  battery: "battery supply",
  panel: "panel",
  "patch-panel": "patch panel",
  injector: "power injector",
  outlet: "data outlet",
  node: "radio node",
  other: "part",
};
