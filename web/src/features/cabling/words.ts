/** How cables, ways and places are named on this sheet. */

import { length, type Reader } from "../../document/format.ts";
import { labelOf } from "../../document/wireRows.ts";
import type { CablingAnswer, Way } from "../../engine/types.ts";
import { text } from "../../text.ts";

export const wayName = (way: Way): string => text.ways[way] ?? way;

/** Each way once, in the order of the cable. */
export const waysText = (ways: readonly Way[]): string => [...new Set(ways)].map(wayName).join(", ");

export const labelsText = (answer: CablingAnswer, links: readonly string[]): string =>
  links.map((link) => labelOf(answer, link)).join(", ");

/** Lengths of ways and cables, to the decimetre or the inch. */
export const far = (metres: number, reader: Reader): string => length(metres, reader, 1);
