/** Rows of the schedules of cables and power: what the server says of each thing, joined by what it is about. */

import type {
  BundleRow,
  CableRoute,
  CableRow,
  CablingAnswer,
  FedRow,
  Figure,
  Hole,
  House,
  PanelPlace,
  PanelRow,
  PortRow,
  PortSheet,
  StartStep,
  SupplyRow,
  Way,
} from "../engine/types.ts";
import { levelOfHole, roomAbove, roomsAround } from "./levels.ts";
import { holesOf, routeOf, wiredPath } from "./wiring.ts";

export interface CableLine {
  row: CableRow;
  route: CableRoute | null;
  from: string;
  to: string;
  /** Length that is installed; of the fixed cable where no way is known. */
  length: Figure;
  ways: Way[];
  holes: Hole[];
  isCord: boolean;
}

export function cableLines(answer: CablingAnswer): CableLine[] {
  const links = new Map((answer.design.links ?? []).map((link) => [link.id, link]));
  return answer.wires.cables.map((row): CableLine => {
    const route = routeOf(answer, row.link);
    const link = links.get(row.link);
    return {
      row,
      route,
      from: link?.from ?? row.link,
      to: link?.to ?? row.link,
      length: route?.length ?? row.fixed_length,
      ways: route ? [...new Set(route.stretches.map(({ way }) => way))] : row.ways,
      holes: holesOf(answer, row.link),
      isCord: link?.medium.over === "cord" || row.cable === null,
    };
  });
}

/** What stands on a cable's ends; its link where that is not known. */
export function labelOf(answer: CablingAnswer, link: string): string {
  const label = routeOf(answer, link)?.label || answer.wires.cables.find((row) => row.link === link)?.label;
  return label || link;
}

export interface HoleLine {
  hole: Hole;
  storey: string | null;
  /** The rooms that it is between; for one in a floor, the room below and the room above. */
  rooms: string[];
}

/** How far beside a hole the rooms that it joins are looked for, beyond what it goes through [m]. */
const BESIDE = 0.25;

export function holeLines(answer: CablingAnswer, house: House): HoleLine[] {
  return answer.wiring.holes.map((hole): HoleLine => {
    const { at, kind, depth } = hole;
    const storey = levelOfHole(house.storeys, hole);
    if (!storey) return { hole, storey: null, rooms: [] };
    const plan = [at[0], at[1]] as const;
    const below = roomsAround(storey, plan, depth / 2 + BESIDE);
    const above = kind === "floor" ? roomAbove(house.storeys, at) : null;
    const rooms = above === null ? below.slice(0, 3) : [below[0] ?? "", above].filter((name) => name !== "");
    return { hole, storey: storey.name, rooms };
  });
}

export interface PortLine {
  sheet: PortSheet;
  port: PortRow;
}

export const portLines = ({ wires }: CablingAnswer): PortLine[] =>
  wires.ports.flatMap((sheet) => sheet.ports.map((port) => ({ sheet, port })));

export interface PlaceLine {
  panel: PanelRow;
  place: PanelPlace;
}

export const placeLines = ({ wires }: CablingAnswer): PlaceLine[] =>
  wires.panels.flatMap((panel) => panel.rows.map((place) => ({ panel, place })));

export interface FedLine {
  supply: SupplyRow;
  fed: FedRow;
  /** Of several devices that are alike, which; 0 for the first. */
  number: number;
  /** Links that carry its power. */
  links: string[];
}

export function fedLines({ wires, design }: CablingAnswer): FedLine[] {
  return wires.supplies.flatMap((supply) =>
    supply.fed.map((fed, at) => ({
      supply,
      fed,
      number: supply.fed.slice(0, at).filter(({ part }) => part === fed.part).length,
      links: wiredPath(design, supply.supply, fed.part),
    })),
  );
}

/** Ports of a supply that give power, and how many of them feed something. */
export function poweredPorts(
  { wires }: CablingAnswer,
  supply: string,
): { all: number; taken: number; class: number | null } {
  const ports = wires.ports.find(({ part }) => part === supply)?.ports ?? [];
  const giving = ports.filter(({ gives_class }) => gives_class !== null);
  return {
    all: giving.length,
    taken: giving.filter(({ feeds_class }) => feeds_class !== null).length,
    class: giving[0]?.gives_class ?? null,
  };
}

export interface StartLine {
  supply: SupplyRow;
  step: StartStep;
  number: number;
}

export const startLines = ({ wires }: CablingAnswer): StartLine[] =>
  wires.supplies.flatMap((supply) =>
    supply.start.steps.map((step, index) => ({ supply, step, number: index + 1 })),
  );

export interface FeedLine {
  part: string;
  room: string;
  from: "mains" | "battery" | "poe";
  /** The outlet, the battery supply or the supply; null where no outlet is known. */
  source: string | null;
  /** Straight from the source to the part [m]; null over data cables and where no place is known. */
  distance: number | null;
}

export function feedLines({ design }: CablingAnswer, house: House): FeedLine[] {
  const parts = new Map(design.parts.map((part) => [part.id, part]));
  return (design.feeds ?? []).flatMap(({ part, source }): FeedLine[] => {
    const fed = parts.get(part);
    const from = source.from === "mains" ? (source.outlet ?? null) : source.part;
    // A device of the household, whose room the design does not say.
    if (!fed) return [{ part, room: "", from: source.from, source: from, distance: null }];
    const room = house.storeys.flatMap(({ rooms }) => rooms).find(({ id }) => id === fed.room)?.name;
    const line = { part, room: room ?? fed.room, from: source.from };
    const place = placeOfSource(design.parts, house, source);
    const far = place && Math.hypot(...place.map((x, i) => x - (fed.at[i] ?? 0)));
    return [{ ...line, source: from, distance: source.from === "poe" ? null : (far ?? null) }];
  });
}

type Source = NonNullable<CablingAnswer["design"]["feeds"]>[number]["source"];

/** Where the outlet or the supply is. */
export function placeOfSource(
  parts: CablingAnswer["design"]["parts"],
  house: House,
  source: Source,
): [number, number, number] | null {
  if (source.from === "mains") {
    for (const { outlets, floor_z } of house.storeys) {
      const outlet = outlets.find(({ id }) => id === source.outlet);
      if (outlet) return [outlet.at[0], outlet.at[1], floor_z + outlet.height_m];
    }
    return null;
  }
  return parts.find(({ id }) => id === source.part)?.at ?? null;
}

/** The supply with least in hand at the highest draw; those of which that is unknown do not count. */
export function tightest(supplies: readonly SupplyRow[]): SupplyRow | null {
  const worst = ({ margin }: SupplyRow): number => margin.low ?? margin.value ?? Number.POSITIVE_INFINITY;
  const known = supplies.filter((supply) => Number.isFinite(worst(supply)));
  return known.toSorted((a, b) => worst(a) - worst(b))[0] ?? null;
}

/** The ways of a bundle's cables, the warmest first as the server has them. */
export const poweredBundles = ({ wires }: CablingAnswer): BundleRow[] =>
  wires.bundles.filter(({ powered }) => powered > 0);
