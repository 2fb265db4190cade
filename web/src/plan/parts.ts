// What kind of part a placed part is. A design names equipment by id; the kind follows from the id's first word, which
// the built-in parts keep to. A part of the user's own whose id says nothing is drawn as a plain box, unless the page
// passes its kind.

export type PartKind =
  | "access-point"
  | "gateway"
  | "router"
  | "switch"
  | "termination"
  | "battery"
  | "panel"
  | "patch-panel"
  | "injector"
  | "outlet"
  | "node"
  | "other";

const BY_START: readonly (readonly [string, PartKind])[] = [
  ["ap-", "access-point"],
  ["gateway", "gateway"],
  // A router's radio generation stands where a wired one says so.
  ["router-wired", "router"],
  ["router-", "gateway"],
  ["switch", "switch"],
  ["ont-", "termination"],
  ["modem-", "termination"],
  ["terminal-", "termination"],
  ["battery", "battery"],
  ["panel", "panel"],
  ["patch-panel", "patch-panel"],
  ["injector", "injector"],
  ["outlet", "outlet"],
  ["node", "node"],
];

export function partKind(equipment: string): PartKind {
  return BY_START.find(([start]) => equipment.startsWith(start))?.[1] ?? "other";
}

/** Order from the line inwards, for parts that stand in one place. */
const ORDER: readonly PartKind[] = [
  "panel",
  "patch-panel",
  "termination",
  "gateway",
  "router",
  "switch",
  "injector",
  "battery",
  "node",
  "access-point",
  "outlet",
  "other",
];

export const partOrder = (kind: PartKind): number => ORDER.indexOf(kind);

/** A part's tag on the drawing: its id, capitals for short ones such as `AP-1`. */
export const partTag = (id: string): string => (/^[a-z]{1,3}-?\d+$/.test(id) ? id.toUpperCase() : id);
