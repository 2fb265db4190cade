// The marks of what a path meets: the same on the drawing and in its key.

import type { Met } from "./paths.ts";

type Point = readonly [number, number];

/** Where a path is mirrored. */
export const diamond = ([x, y]: Point): string =>
  `M${x},${y - 4.5}L${x + 4.5},${y}L${x},${y + 4.5}L${x - 4.5},${y}Z`;

/** Where a path goes round an edge. */
export const triangle = ([x, y]: Point): string => `M${x},${y - 5}L${x + 4.5},${y + 3.5}H${x - 4.5}Z`;

/** A mark beside the words that say the same. */
export function PathGlyph({ kind }: { kind: Met["kind"] }) {
  return (
    <svg className={`path-glyph path-glyph-${kind}`} width="12" height="12" aria-hidden="true">
      {kind === "crossing" ? (
        <circle cx="6" cy="6" r="4" />
      ) : (
        <path d={kind === "reflection" ? diamond([6, 6]) : triangle([6, 6.5])} />
      )}
    </svg>
  );
}
