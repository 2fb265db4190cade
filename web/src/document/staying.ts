/** What stays up as it is shown: digits that are borne, causes, the cut that is chosen and where its things are. */

import type {
  ComponentKind,
  ComponentRow,
  CutSet,
  Design,
  Fared,
  Interval,
  JobDocument,
  Member,
  ServiceRow,
  Staying,
} from "../engine/types.ts";
import { significant } from "./format.ts";

/** Minutes of a year of 365 days, as the server counts them (IEEE Std 1366). */
export const minutesAYear = 525_600;

/** Decimals that a share of time up is worth showing with in per cent, if the time down bears so many digits. */
export function upDecimals(minutesDown: number, digits: number): number {
  const down = (100 * minutesDown) / minutesAYear;
  if (!(down > 0)) return 2;
  return Math.min(7, Math.max(0, digits - 1 - Math.floor(Math.log10(significant(down, digits)))));
}

/** Significant digits of an interval's ends: they say how sure a value is, and need no more. */
export const endDigits = 2;

/**
 * Digits to show a value with: those that it bears, and more only where it would else stand outside its own interval.
 */
export function shownDigits({ value, low, high, digits }: Interval): number {
  const isWithin = (count: number): boolean => {
    const shown = significant(value, count);
    return shown >= significant(low, endDigits) && shown <= significant(high, endDigits);
  };
  return [digits, digits + 1].find(isWithin) ?? digits;
}

/** A value and the ends of its interval, as far as they bear digits. */
export function borne(interval: Interval): { value: number; low: number; high: number } {
  return {
    value: significant(interval.value, shownDigits(interval)),
    low: significant(interval.low, endDigits),
    high: significant(interval.high, endDigits),
  };
}

/** What must stay up comes first; all else stays as it stands. */
export function protectedFirst<Service extends { must_stay_up: boolean }>(
  services: readonly Service[],
): Service[] {
  return services.toSorted((a, b) => Number(b.must_stay_up) - Number(a.must_stay_up));
}

/** A connection and an activity may have one id; the address names an activity's by its kind. */
export function serviceId(service: Pick<ServiceRow, "id" | "kind">): string {
  return service.kind === "connection" ? service.id : `${service.kind}:${service.id}`;
}

/** The service that is looked at: the chosen one, else the first of those that must stay up, else the first. */
export function chosenService(staying: Staying, id: string | null): ServiceRow | null {
  const { services } = staying;
  return services.find((service) => serviceId(service) === id) ?? protectedFirst(services)[0] ?? null;
}

export function cutAt(service: ServiceRow | null, place: number | null): CutSet | null {
  return place === null ? null : (service?.cuts[place] ?? null);
}

/** Whether a cut is never down because a thing in it is taken to hold: no figure of its failures is at hand. */
export function isHeld(cut: CutSet, components: readonly ComponentRow[]): boolean {
  return cut.members.some(({ id, kind }) =>
    components.some((row) => row.taken_to_hold && row.id === id && row.kind === kind),
  );
}

/** Places of a service's cuts: fewest things first, and of those with as many the longest down first. */
export function cutsInOrder(service: ServiceRow): number[] {
  const minutes = (place: number) => service.cuts[place]?.minutes ?? Number.POSITIVE_INFINITY;
  const size = (place: number) => service.cuts[place]?.members.length ?? 0;
  return service.cuts
    .map((_, place) => place)
    .toSorted((a, b) => size(a) - size(b) || (minutes(b) === minutes(a) ? 0 : minutes(b) - minutes(a)));
}

export interface Cause {
  kind: ComponentKind;
  count: number;
}

/** Kinds of things in the order in which they come first, with how many there are of each. */
export function causesOf(members: readonly Member[]): Cause[] {
  const counts = new Map<ComponentKind, Set<string>>();
  for (const { kind, id } of members) counts.set(kind, (counts.get(kind) ?? new Set()).add(id));
  return [...counts].map(([kind, ids]) => ({ kind, count: ids.size }));
}

/** A component by what it is and its id. */
export const componentId = ({ kind, id }: Pick<Member, "id" | "kind">): string => `${kind}:${id}`;

/** The things that can fail, each once: an outage counts by its length only in cuts. */
export function componentsOf(staying: Staying): ComponentRow[] {
  const seen = new Map<string, ComponentRow>();
  for (const row of staying.components) {
    const known = seen.get(componentId(row));
    if (!known) seen.set(componentId(row), row);
    else {
      const union = (a: readonly string[], b: readonly string[]) => [...new Set([...a, ...b])];
      seen.set(componentId(row), {
        ...known,
        takes_down: union(known.takes_down, row.takes_down),
        by_alternative: union(known.by_alternative, row.by_alternative),
      });
    }
  }
  return [...seen.values()];
}

/** What is off after something is switched. */
export function switched(off: readonly string[], id: string): string[] {
  return off.includes(id) ? off.filter((other) => other !== id) : [...off, id];
}

/** Services that do not go on as usual, those that must stay up first, those that are down before others. */
export function losses(services: readonly Fared[]): Fared[] {
  const rank = { down: 0, unknown: 1, alternative: 2, up: 3 };
  return services
    .filter(({ state }) => state !== "up")
    .toSorted((a, b) => Number(b.must_stay_up) - Number(a.must_stay_up) || rank[a.state] - rank[b.state]);
}

/** Where on the plan a thing is; circuits are where their outlets are. */
export interface ThingPlace {
  on: "part" | "device" | "link" | "demarcation" | "outlet";
  id: string;
}

export function placesOf(
  { id, kind }: Pick<Member, "id" | "kind">,
  design: Design,
  document: JobDocument,
): ThingPlace[] {
  switch (kind) {
    case "part":
      return design.parts.some((part) => part.id === id) ? [{ on: "part", id }] : [];
    case "device":
      return [{ on: "device", id }];
    case "cable":
    case "radio":
      return design.links?.some((link) => link.id === id) ? [{ on: "link", id }] : [];
    case "line":
    case "line-backup":
      return [{ on: "demarcation", id: "demarcation" }];
    case "circuit":
      return document.building.outlets
        .filter((outlet) => outlet.circuit === id)
        .map((outlet) => ({ on: "outlet", id: outlet.id }));
    default:
      return [];
  }
}
