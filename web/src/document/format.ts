/** Numbers as people read them: by locale, always with a unit, metric or feet and inches. Nothing is computed but units. */

import type { Units } from "../engine/types.ts";

/** How one reader sees numbers. */
export interface Reader {
  locale: string;
  units: Units;
}

const metresPerFoot = 0.3048;
const squareMetresPerSquareFoot = 0.09290304;

/** A true minus sign, and no breaking between number and unit. */
function tidy(text: string): string {
  return text.replaceAll("-", "\u2212");
}

export function number(value: number, reader: Reader, digits = 0): string {
  const shown = new Intl.NumberFormat(reader.locale, {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  }).format(Object.is(Math.round(value * 10 ** digits), -0) ? 0 : value);
  return tidy(shown);
}

/** A length: `3.60 m`, or `11'-10"` to the inch, as on the drawing. */
export function length(metres: number, reader: Reader, digits = 2): string {
  if (reader.units === "metric") return `${number(metres, reader, digits)}\u00a0m`;
  const inches = Math.round((Math.abs(metres) / metresPerFoot) * 12);
  const sign = metres < 0 && inches > 0 ? "\u2212" : "";
  return `${sign}${number(Math.floor(inches / 12), reader)}'-${inches % 12}"`;
}

/** Wall thicknesses and the like. */
export function smallLength(metres: number, reader: Reader): string {
  if (reader.units === "metric") return `${number(metres * 1000, reader)}\u00a0mm`;
  return `${number((metres / metresPerFoot) * 12, reader, 1)}"`;
}

export function area(squareMetres: number, reader: Reader, digits = 1): string {
  return reader.units === "metric"
    ? `${number(squareMetres, reader, digits)}\u00a0m²`
    : `${number(squareMetres / squareMetresPerSquareFoot, reader)}\u00a0sq\u00a0ft`;
}

export function squareMetresFrom(value: number, units: Units): number {
  return units === "metric" ? value : value * squareMetresPerSquareFoot;
}

export function inReadersArea(squareMetres: number, units: Units): number {
  return units === "metric" ? squareMetres : squareMetres / squareMetresPerSquareFoot;
}

export function rate(bitsPerSecond: number, reader: Reader): string {
  if (bitsPerSecond >= 1e9) return `${number(bitsPerSecond / 1e9, reader, 1)}\u00a0Gbit/s`;
  if (bitsPerSecond >= 1e6) {
    return `${number(bitsPerSecond / 1e6, reader, bitsPerSecond < 1e7 ? 1 : 0)}\u00a0Mbit/s`;
  }
  return `${number(bitsPerSecond / 1e3, reader)}\u00a0kbit/s`;
}

/** A share, 0 to 1, in per cent. */
export function share(value: number, reader: Reader, digits = 1): string {
  return `${number(100 * value, reader, digits)}\u00a0%`;
}

/** A rate for a column that is all in Mbit/s: three figures, at most two decimals. */
export function megabits(bitsPerSecond: number, reader: Reader): string {
  const value = bitsPerSecond / 1e6;
  return number(value, reader, value >= 100 ? 0 : value >= 10 ? 1 : 2);
}

/** A delay, for a column that is all in milliseconds. */
export function milliseconds(seconds: number, reader: Reader): string {
  return number(1000 * seconds, reader, seconds < 0.01 ? 1 : 0);
}

/** A time that people wait: seconds, minutes, hours or days. */
export function duration(seconds: number, reader: Reader): string {
  const [value, unit] =
    seconds < 60
      ? [seconds, "s"]
      : seconds < 3600
        ? [seconds / 60, "min"]
        : seconds < 86_400
          ? [seconds / 3600, "h"]
          : [seconds / 86_400, "d"];
  return `${number(value, reader, value < 10 && value % 1 !== 0 ? 1 : 0)}\u00a0${unit}`;
}

/** An amount of data, in decimal multiples as stores are sold. */
export function octets(count: number, reader: Reader): string {
  const [value, unit] =
    count < 1e9 ? [count / 1e6, "MB"] : count < 1e12 ? [count / 1e9, "GB"] : [count / 1e12, "TB"];
  return `${number(value, reader, value < 100 ? 1 : 0)}\u00a0${unit}`;
}

export function megahertz(hertz: number, reader: Reader): string {
  return `${number(hertz / 1e6, reader)}\u00a0MHz`;
}

/** An hour of the day by the reader's clock. */
export function clock(hour: number, locale: string): string {
  const time = new Date(Date.UTC(2000, 0, 1, hour % 24));
  return new Intl.DateTimeFormat(locale, { hour: "numeric", minute: "2-digit", timeZone: "UTC" }).format(
    time,
  );
}

export function money(amount: number, currency: string, reader: Reader, sign = false): string {
  return tidy(
    new Intl.NumberFormat(reader.locale, {
      style: "currency",
      currency,
      currencyDisplay: "narrowSymbol",
      maximumFractionDigits: 0,
      signDisplay: sign ? "exceptZero" : "auto",
    }).format(amount),
  );
}

export function isCurrency(unit: string): boolean {
  return /^[A-Z]{3}$/.test(unit);
}

/** A number with so many significant digits. */
export function significant(value: number, digits: number): number {
  return Number.isFinite(value) && value !== 0 ? Number(value.toPrecision(Math.max(1, digits))) : value;
}

/** Decimals that each unit is worth showing with. */
function digitsOf(unit: string, value: number): number {
  switch (unit) {
    case "%":
    case "dB":
    case "dBm":
    case "h":
      return 1;
    case "1":
      return Math.abs(value) < 10 ? 2 : 1;
    case "A":
      return 2;
    case "W":
      return Math.abs(value) < 100 ? 1 : 0;
    case "V":
    case "K":
    case "°C":
      return 1;
    case "m":
      return 1;
    case "min/yr":
      return 0;
    default:
      return Number.isInteger(value) || Math.abs(value) >= 100 ? 0 : 1;
  }
}

/** A number and its unit apart, so that columns of figures line up. */
export interface Shown {
  number: string;
  unit: string;
}

/** Units of the site in countries that measure in feet. */
const inFeetAndPounds: Record<string, { unit: string; digits: number; from(value: number): number }> = {
  mm: { unit: "in", digits: 2, from: (value) => value / 25.4 },
  "mm²": { unit: "sq\u00a0in", digits: 2, from: (value) => value / 25.4 ** 2 },
  N: { unit: "lbf", digits: 0, from: (value) => value / 4.448_221_615 },
  K: { unit: "°F", digits: 0, from: (value) => 1.8 * value },
  "°C": { unit: "°F", digits: 0, from: (value) => 1.8 * value + 32 },
};

/** A value in one of the units that results come in. `1` is a bare ratio, shown as a multiple. */
export function quantity(value: number, unit: string, reader: Reader, sign = false): Shown {
  if (isCurrency(unit)) return { number: money(value, unit, reader, sign), unit: "" };
  const plus = sign && value > 0 ? "+" : "";
  if (unit === "m" && reader.units === "feet-inches") {
    return { number: plus + number(value / metresPerFoot, reader), unit: "ft" };
  }
  if (unit === "m²" && reader.units === "feet-inches") {
    return { number: plus + number(value / squareMetresPerSquareFoot, reader), unit: "sq\u00a0ft" };
  }
  const own = reader.units === "feet-inches" ? inFeetAndPounds[unit] : undefined;
  if (own) return { number: plus + number(own.from(value), reader, own.digits), unit: own.unit };
  // Two shares differ by points; per cent of a per cent would be something else.
  const shownUnit = unit === "1" ? "×" : unit === "min/yr" ? "min" : unit === "%" && sign ? "points" : unit;
  // Rates of failure are known to a factor of two or three: two digits of an outage are all that they bear.
  const shown = unit === "min/yr" ? significant(value, 2) : value;
  return { number: plus + number(shown, reader, digitsOf(unit, shown)), unit: shownUnit };
}

export function together(shown: Shown): string {
  return shown.unit === "" ? shown.number : `${shown.number}\u00a0${shown.unit}`;
}

/** Date and time of a moment, or nothing when it is none. */
export function moment(iso: string, locale: string): string {
  const date = new Date(iso);
  if (Number.isNaN(date.getTime())) return "";
  return new Intl.DateTimeFormat(locale, { dateStyle: "medium", timeStyle: "short" }).format(date);
}

export function day(iso: string, locale: string): string {
  const date = new Date(iso);
  if (Number.isNaN(date.getTime())) return "";
  return new Intl.DateTimeFormat(locale, { dateStyle: "medium" }).format(date);
}

/** A country's name in the reader's language; its code where there is none. */
export function country(code: string, locale: string): string {
  try {
    return new Intl.DisplayNames(locale, { type: "region" }).of(code) ?? code;
  } catch {
    return code;
  }
}
