import { expect, test } from "vitest";
import { area, length, money, number, quantity, type Reader, rate, smallLength, together } from "./format.ts";

const metric: Reader = { locale: "en-GB", units: "metric" };
const feet: Reader = { locale: "en-US", units: "feet-inches" };
const plain = (text: string) => text.replaceAll("\u00a0", " ");

test("lengths by the job's units, with the exact foot of 0.3048 m", () => {
  expect(plain(length(3.6, metric))).toBe("3.60 m");
  expect(plain(length(3.6, feet))).toBe("11'-10\"");
  expect(plain(length(0.3048 * 12, feet))).toBe("12'-0\"");
  expect(plain(length(-0.001, feet))).toBe("0'-0\"");
  expect(plain(smallLength(0.1524, feet))).toBe('6.0"');
  expect(plain(smallLength(0.1524, metric))).toBe("152 mm");
});

test("areas, with 0.09290304 m² to the square foot", () => {
  expect(plain(area(184, metric))).toBe("184.0 m²");
  expect(plain(area(183.9480192, feet))).toBe("1,980 sq ft");
});

test("numbers by locale, with a true minus and no minus zero", () => {
  expect(number(-1234.5, { locale: "de-DE", units: "metric" }, 1)).toBe("−1.234,5");
  expect(number(-0.04, metric, 1)).toBe("0.0");
});

test("figures in the units that results come in", () => {
  expect(plain(together(quantity(95.3226, "%", metric)))).toBe("95.3 %");
  expect(plain(together(quantity(1.4035, "1", metric)))).toBe("1.40 ×");
  expect(plain(together(quantity(573.24, "USD", feet)))).toBe("$573");
  expect(plain(together(quantity(-61.84, "dBm", metric)))).toBe("−61.8 dBm");
  expect(plain(together(quantity(3.9, "%", metric, true)))).toBe("+3.9 points");
  expect(plain(money(642, "GBP", metric, true))).toBe("+£642");
});

test("rates keep the figures that matter", () => {
  expect(plain(rate(2.5e9, metric))).toBe("2.5 Gbit/s");
  expect(plain(rate(5e6, metric))).toBe("5.0 Mbit/s");
  expect(plain(rate(120e6, metric))).toBe("120 Mbit/s");
  expect(plain(rate(64e3, metric))).toBe("64 kbit/s");
});
