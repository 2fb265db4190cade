/** How sums, quantities and links are said on this sheet. */

import { length, number, type Reader } from "../../document/format.ts";
import type { Design } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";

const t = text.cost;
const metresPerFoot = 0.3048;

/** Hours, as work is counted. */
export function hours(value: number, reader: Reader): string {
  return `${number(value, reader, 1)}\u00a0h`;
}

/** Lengths on spools: to the decimetre, or to the foot. */
export function cable(metres: number, reader: Reader): string {
  return reader.units === "metric"
    ? length(metres, reader, 1)
    : `${number(metres / metresPerFoot, reader)}\u00a0ft`;
}

export function unitName(unit: string): string {
  return t.takeOff.units[unit] ?? unit;
}

/** A quantity with as many decimals as it has, at most two. */
export function count(quantity: number, reader: Reader): string {
  const digits = Number.isInteger(quantity)
    ? 0
    : Math.abs(quantity * 10 - Math.round(quantity * 10)) < 1e-9
      ? 1
      : 2;
  return number(quantity, reader, digits);
}

/** A link by its two ends. */
export function linkName(link: string, design: Design): string {
  const found = design.links?.find(({ id }) => id === link);
  return found ? `${partTag(found.from)} to ${partTag(found.to)}` : link;
}
