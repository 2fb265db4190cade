/** How a price is made up, line by line: what is in each line, and which lines are sums of those above. */

import type { Breakdown } from "../engine/types.ts";
import { amountOf } from "./money.ts";

export interface BillLine {
  id: "parts" | "labour" | "overhead" | "margin" | "to_minimum" | "net" | "tax" | "total";
  /** A tax's own name. */
  name: string | null;
  sum: string;
  /** A sum of the lines above it. */
  isSum: boolean;
}

export function billOf(price: Breakdown): BillLine[] {
  const line = (id: BillLine["id"], sum: string, isSum = false, name: string | null = null): BillLine => ({
    id,
    name,
    sum,
    isSum,
  });
  return [
    line("parts", price.parts),
    line("labour", price.labour),
    line("overhead", price.overhead),
    line("margin", price.margin),
    ...((amountOf(price.to_minimum) ?? 0) === 0 ? [] : [line("to_minimum", price.to_minimum)]),
    line("net", price.net, true),
    ...price.taxes.map(({ name, amount }) => line("tax", amount, false, name)),
    line("total", price.total, true),
  ];
}

/** A day of the calendar, which is the same day everywhere; as written where it is none. */
export function calendarDay(date: string, locale: string): string {
  const at = new Date(`${date}T00:00:00Z`);
  if (Number.isNaN(at.getTime())) return date;
  return new Intl.DateTimeFormat(locale, { dateStyle: "medium", timeZone: "UTC" }).format(at);
}
