// Path data for SVG from points. Metres are written to the tenth of a millimetre, pixels to the hundredth.

type Point = readonly [number, number];

const metres = (n: number): string => String(Math.round(n * 1e4) / 1e4);

/** An open line. */
export function linePath(points: readonly Point[]): string {
  let d = "";
  for (let i = 0; i < points.length; i++) {
    const [x, y] = points[i] ?? [0, 0];
    d += `${i === 0 ? "M" : "L"}${metres(x)},${metres(y)}`;
  }
  return d;
}

/** A closed ring. */
export const ringPath = (ring: readonly Point[]): string => (ring.length > 0 ? `${linePath(ring)}Z` : "");

/** Rings in one path; fill it even-odd. */
export const areaPath = (rings: readonly (readonly Point[])[]): string => rings.map(ringPath).join("");

/** Separate lines in one path. */
export const linesPath = (lines: readonly (readonly Point[])[]): string => lines.map(linePath).join("");
