/** Which figures are shown where, and how two designs compare in them. The figures themselves come from the server. */

import type { DesignOption, Figure, Finding, Severity } from "../engine/types.ts";

/** The figures that a title block and an option's row show. `better` says which way is better. */
export interface Headline {
  id: string;
  better: "more" | "less";
}

export const headlines: readonly Headline[] = [
  { id: "coverage", better: "more" },
  { id: "headroom", better: "more" },
  { id: "outage.minutes", better: "less" },
  { id: "price", better: "less" },
];

/** Other figures of which more is better. */
const moreIsBetter = [
  "coverage.2.4",
  "coverage.5",
  "coverage.6",
  "coverage.outdoors",
  "served.area",
  "availability",
  "battery.runtime",
] as const;

/** Which way of a figure is better. */
export function betterOf(id: string): "more" | "less" {
  const headline = headlines.find((known) => known.id === id);
  if (headline) return headline.better;
  return (moreIsBetter as readonly string[]).includes(id) ? "more" : "less";
}

/** A figure as it is shown: how much is used of something in per cent, where others of unit 1 are multiples. */
export function asShown(figure: Figure): Figure {
  if (figure.unit !== "1" || !/^(airtime|uplink-load|line-load)\./.test(figure.id)) return figure;
  const percent = (share: number | null) => (share === null ? null : 100 * share);
  const { value, low, high } = figure;
  return { ...figure, unit: "%", value: percent(value), low: percent(low), high: percent(high) };
}

/** Whether only the lower end of a figure's interval says something: the upper one is all that there can be. */
export function isLowerBound(figure: Figure): boolean {
  return figure.id === "served.area" && figure.unit === "%" && figure.high === 100;
}

/** The figure of the design as a whole, not of one of its parts or services. */
export function figureOf(option: DesignOption, id: string): Figure | null {
  const own = option.figures.find((figure) => figure.id === id && figure.subject === option.id);
  return (
    own ?? option.figures.find((figure) => figure.id === id && figure.subject === option.design.id) ?? null
  );
}

export interface Change {
  by: number;
  unit: string;
  /** Null where the two are equal in what is shown. */
  better: boolean | null;
}

/** How a figure differs from the pinned design's; nothing where either is unknown or the units differ. */
export function changeFrom(
  pinned: Figure | null,
  shown: Figure | null,
  better: "more" | "less",
): Change | null {
  if (pinned?.value == null || shown?.value == null || pinned.unit !== shown.unit) return null;
  const by = shown.value - pinned.value;
  const least = 1e-9 * Math.max(Math.abs(pinned.value), Math.abs(shown.value), 1);
  if (Math.abs(by) <= least) return { by: 0, unit: shown.unit, better: null };
  return { by, unit: shown.unit, better: better === "more" ? by > 0 : by < 0 };
}

export const severities: readonly Severity[] = ["unsafe", "fails", "risk", "note"];

export function countBySeverity(findings: readonly Finding[]): Record<Severity, number> {
  const counts: Record<Severity, number> = { unsafe: 0, fails: 0, risk: 0, note: 0 };
  for (const finding of findings) counts[finding.severity] += 1;
  return counts;
}
