/** Findings as numbered notes: the number is the same on every sheet, the place is where the finding applies. */

import type { Design, Finding, House, JobDocument, P, Severity } from "../engine/types.ts";
import type { SheetName } from "./address.ts";
import { severities } from "./figures.ts";

export interface Keynote {
  n: number;
  /** Stable while the finding is the same: its rule and subjects. */
  id: string;
  severity: Severity;
  finding: Finding;
  storey: string | null;
  at: P | null;
}

interface Spot {
  storey: string;
  at: P;
}

type Known = Pick<JobDocument, "household" | "site">;

function spotOf(subject: string, house: House, design: Design | null, known: Known | null): Spot | null {
  for (const storey of house.storeys) {
    const room = storey.rooms.find((r) => r.id === subject);
    if (room) return { storey: storey.id, at: room.inside };
    const outlet = storey.outlets.find((o) => o.id === subject);
    if (outlet) return { storey: storey.id, at: outlet.at };
    const wall = storey.walls.find((w) => w.id === subject);
    const corner = wall?.solids[0]?.[0];
    if (corner) return { storey: storey.id, at: corner };
  }
  const part = design?.parts.find((p) => p.id === subject);
  const storeyOf = (room: string) => house.storeys.find((s) => s.rooms.some((r) => r.id === room));
  const storey = part && storeyOf(part.room);
  if (part && storey) return { storey: storey.id, at: [part.at[0], part.at[1]] };
  if (known?.site?.lines?.some((line) => line.id === subject)) return house.demarcation;
  const link = design?.links?.find(({ id }) => id === subject);
  if (link) return spotOf(link.to, house, design, known) ?? spotOf(link.from, house, design, known);
  const household = known?.household;
  const activity = household?.activities?.find((a) => a.id === subject);
  const device = household?.devices?.find((d) => d.id === (activity?.device ?? subject));
  const home = device && storeyOf(device.room);
  const middle = home?.rooms.find((r) => r.id === device?.room)?.inside;
  return home && middle ? { storey: home.id, at: device?.at ?? middle } : null;
}

/** Worst first, then in the order the program found them. */
export function keynotesOf(
  findings: readonly Finding[],
  house: House | null,
  design: Design | null,
  known: Known | null = null,
): Keynote[] {
  const order = (finding: Finding) => severities.indexOf(finding.severity);
  const sorted = findings.toSorted((a, b) => order(a) - order(b));
  const seen = new Map<string, number>();
  return sorted.map((finding, index) => {
    const base = [finding.rule, ...finding.subjects].join("~");
    const times = (seen.get(base) ?? 0) + 1;
    seen.set(base, times);
    const spots = house ? finding.subjects.map((subject) => spotOf(subject, house, design, known)) : [];
    const spot = finding.place ?? spots.find((s) => s !== null) ?? null;
    return {
      n: index + 1,
      id: times === 1 ? base : `${base}~${times}`,
      severity: finding.severity,
      finding,
      storey: spot?.storey ?? null,
      at: spot?.at ?? null,
    };
  });
}

const subjectsOfSheet: Record<SheetName, readonly string[] | null> = {
  house: ["building", "site", "household", "job"],
  coverage: ["coverage", "wlan", "propagation"],
  capacity: ["traffic", "wlan"],
  cabling: ["cabling"],
  power: [],
  options: null,
  resilience: ["resilience"],
  cost: ["cost"],
};

/** Findings of radios that say nothing of where they reach. */
const ofAirtime: readonly string[] = [
  "wlan.beacon-airtime",
  "wlan.crowded-2.4",
  "wlan.low-power-overlap",
  "wlan.may-stick",
  "wlan.too-many-access-points",
];

/** Findings of cables and of staying up that are about power: whole rules, and how others begin. */
const ofPower: readonly string[] = [
  "cabling.poe-",
  "cabling.not-powered",
  "cabling.panel-without-power",
  "cabling.panel-sockets",
  "cabling.panel-heat",
  "cabling.bundle-",
  "cabling.clad-aluminium",
  "cabling.thin-cord",
  "resilience.battery-",
  "resilience.runtime-",
  "resilience.va-as-energy",
  "resilience.power-loop",
  "resilience.device-off",
  "resilience.termination-off",
  "resilience.access-point-off",
];

/** Whether a finding belongs on a sheet; the options sheet shows every finding of the design. */
export function isOnSheet(keynote: Keynote, sheet: SheetName): boolean {
  const subjects = subjectsOfSheet[sheet];
  const subject = keynote.finding.rule.split(".")[0] ?? "";
  if (sheet === "coverage" && ofAirtime.includes(keynote.finding.rule)) return false;
  if (sheet === "power") return ofPower.some((rule) => keynote.finding.rule.startsWith(rule));
  return subjects === null || subjects.includes(subject);
}
