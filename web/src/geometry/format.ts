// Lengths and areas as people of a country write them.

import { METRES_PER_FOOT, METRES_PER_INCH, type UnitSystem } from "./scale.ts";

/** The true minus sign, as on a drawing. */
export const MINUS = "\u2212";

/** A number with a fixed count of decimals, with the true minus sign; never a negative zero. */
export function fixed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text;
}

/** As `fixed`, without zeros at the end. */
export const trimmed = (value: number, decimals: number): string =>
  fixed(Number(value.toFixed(decimals)), decimals).replace(/\.?0+$/, (end) =>
    end.startsWith(".") ? "" : end,
  );

/** A length: `3.60 m`, or `11'-10"` to the inch. */
export function lengthText(metres: number, units: UnitSystem): string {
  if (units === "metric") return `${fixed(metres, 2)} m`;
  const sign = metres < 0 ? MINUS : "";
  const inches = Math.round(Math.abs(metres) / METRES_PER_INCH);
  return `${sign}${Math.floor(inches / 12)}'-${inches % 12}"`;
}

/** An area: `12.4 m²`, or `133 sq ft`. */
export function areaText(squareMetres: number, units: UnitSystem): string {
  return units === "metric"
    ? `${fixed(squareMetres, 1)} m²`
    : `${fixed(squareMetres / METRES_PER_FOOT ** 2, 0)} sq ft`;
}
