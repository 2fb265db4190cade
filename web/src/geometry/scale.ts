// Drawing scales. A CSS pixel is 1/96 of an inch by definition (CSS Values and Units 4, §6.2), so a drawing at 1:n has
// 96 / 0.0254 / n pixels to the metre. What a monitor makes of it is the monitor's business; print is exact.

import type { Metres, Px, Size } from "./brand.ts";

export type UnitSystem = "metric" | "feet-inches";

/** CSS pixels in one metre of paper. */
export const PX_PER_PAPER_METRE = 96 / 0.0254;
export const METRES_PER_FOOT = 0.3048;
export const METRES_PER_INCH = 0.0254;

/**
 * Scale numbers that a fitted drawing may have, largest drawing first. Metric: the scales of ISO 5455 and the
 * intermediate ones that it allows. Feet and inches: the architect's scales, 1" = 1'-0" and smaller (common practice).
 */
const METRIC = [10, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 1000, 2000];
const ARCHITECT: readonly (readonly [number, string])[] = [
  [12, '1" = 1\'-0"'],
  [16, '3/4" = 1\'-0"'],
  [24, '1/2" = 1\'-0"'],
  [32, '3/8" = 1\'-0"'],
  [48, '1/4" = 1\'-0"'],
  [64, '3/16" = 1\'-0"'],
  [96, '1/8" = 1\'-0"'],
  [128, '3/32" = 1\'-0"'],
  [192, '1/16" = 1\'-0"'],
  [384, '1/32" = 1\'-0"'],
  [768, '1/64" = 1\'-0"'],
];

/** The working scales of a system of units, largest drawing first. */
export function workingScales(units: UnitSystem): readonly number[] {
  return units === "metric" ? METRIC : ARCHITECT.map(([n]) => n);
}

export const pxPerMetre = (scale: number): number => PX_PER_PAPER_METRE / scale;
export const scaleNumber = (pixelsPerMetre: number): number => PX_PER_PAPER_METRE / pixelsPerMetre;

/** The largest working scale whose drawing is not above `limit` pixels to the metre. */
export function scaleThatFits(limit: number, units: UnitSystem): number {
  const scales = workingScales(units);
  return scales.find((n) => pxPerMetre(n) <= limit * (1 + 1e-9)) ?? scales[scales.length - 1] ?? 1000;
}

/** The next working scale, larger (`1`) or smaller (`-1`) than the present one; the present one at the end of the list. */
export function nextScale(present: number, direction: 1 | -1, units: UnitSystem): number {
  const scales = workingScales(units);
  const found =
    direction > 0
      ? scales.findLast((n) => n < present * (1 - 1e-6))
      : scales.find((n) => n > present * (1 + 1e-6));
  return found ?? present;
}

/** A scale in the words of the trade: `1:50`, `1/4" = 1'-0"`, or the ratio to three figures between working scales. */
export function scaleName(scale: number, units: UnitSystem): string {
  if (units === "feet-inches") {
    const known = ARCHITECT.find(([n]) => Math.abs(n - scale) < n * 1e-3);
    if (known) return known[1];
  }
  const whole = Math.round(scale);
  if (Math.abs(whole - scale) < scale * 1e-3) return `1:${whole}`;
  return `1:${scale >= 100 ? whole : scale.toFixed(1)}`;
}

/** Long and short side of a sheet [m]: ISO 216 A sizes, or the architectural sizes of ASME Y14.1. */
const PAPER: Record<UnitSystem, readonly (readonly [string, number, number])[]> = {
  metric: [
    ["A4", 0.297, 0.21],
    ["A3", 0.42, 0.297],
    ["A2", 0.594, 0.42],
    ["A1", 0.841, 0.594],
    ["A0", 1.189, 0.841],
  ],
  "feet-inches": [
    ["Arch A", 0.3048, 0.2286],
    ["Arch B", 0.4572, 0.3048],
    ["Arch C", 0.6096, 0.4572],
    ["Arch D", 0.9144, 0.6096],
    ["Arch E", 1.2192, 0.9144],
  ],
};

/** The margin that a drawing keeps to the edge of the paper [m] (10 mm, common practice). */
const PAPER_MARGIN = 0.01;

/** The smallest sheet of paper that holds a drawing of `size` metres at a scale, either way round; null if none does. */
export function paperFor(scale: number, size: Size, units: UnitSystem): string | null {
  const long = Math.max(size.width, size.height) / scale + 2 * PAPER_MARGIN;
  const short = Math.min(size.width, size.height) / scale + 2 * PAPER_MARGIN;
  return PAPER[units].find(([, l, s]) => long <= l && short <= s)?.[0] ?? null;
}

/** A scale bar: whole steps of a round length. */
export interface ScaleBar {
  /** Length of the whole bar. */
  readonly length: Metres;
  /** Where a division ends, with its label in the unit; the first is zero. */
  readonly marks: readonly { readonly at: Metres; readonly px: Px; readonly label: string }[];
  /** The unit that the labels are in. */
  readonly unit: "m" | "ft";
  readonly px: Px;
}

/** The longest round scale bar (1, 2 or 5 times a power of ten) that is not above `longest` pixels. */
export function scaleBar(pixelsPerMetre: number, longest: number, units: UnitSystem): ScaleBar {
  const unit = units === "metric" ? 1 : METRES_PER_FOOT;
  const most = longest / pixelsPerMetre / unit;
  const power = 10 ** Math.floor(Math.log10(most));
  const step = [5, 2, 1].find((n) => n * power <= most * (1 + 1e-9)) ?? 1;
  const whole = step * power;
  const parts = step === 2 ? [0, 0.5, 1] : step === 5 ? [0, 0.2, 0.4, 1] : [0, 0.5, 1];
  const marks = parts.map((part) => ({
    at: part * whole * unit,
    px: part * whole * unit * pixelsPerMetre,
    label: String(Number((part * whole).toPrecision(6))),
  }));
  return {
    length: whole * unit,
    px: whole * unit * pixelsPerMetre,
    marks,
    unit: units === "metric" ? "m" : "ft",
  };
}
