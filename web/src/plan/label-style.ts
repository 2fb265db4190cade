// Typefaces and sizes of what stands on the drawing, in pixels.

import type { Face } from "../geometry/text.ts";

export const faces = {
  room: { family: "text", weight: 600, size: 13 },
  roomSmall: { family: "text", weight: 600, size: 11 },
  area: { family: "text", weight: 400, size: 11 },
  tag: { family: "text", weight: 500, size: 11 },
  contour: { family: "figure", weight: 400, size: 10.5 },
  target: { family: "text", weight: 600, size: 11 },
  wire: { family: "text", weight: 500, size: 10 },
  object: { family: "text", weight: 400, size: 10 },
  note: { family: "text", weight: 600, size: 11.5 },
  title: { family: "text", weight: 600, size: 13 },
} as const satisfies Record<string, Face>;

/** Half the size of a keynote, of a part's symbol, of an outlet's and of a device's [px]. */
export const KEYNOTE_RADIUS = 11;
export const PART_RADIUS = 10;
export const OUTLET_RADIUS = 6;
export const MARK_RADIUS = 5;
/** Row of a list of parts in one place [px]. */
export const ROW_HEIGHT = 22;
