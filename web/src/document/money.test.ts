import { expect, test } from "vitest";
import { decimalFrom, percentOf, sumOf, sumText } from "./money.ts";

const british = { locale: "en-GB", units: "metric" as const };
const german = { locale: "de-DE", units: "metric" as const };
const plain = (text: string) => text.replaceAll("\u00a0", " ");

test("a sum has its amount, its currency and the digits that are written", () => {
  expect(sumOf("1250.00 EUR")).toEqual({ amount: 1250, currency: "EUR", digits: 2 });
  expect(sumOf("-3 JPY")).toEqual({ amount: -3, currency: "JPY", digits: 0 });
  for (const wrong of ["", "12", "12 eur", "1,2 EUR", "EUR 12", null, undefined])
    expect(sumOf(wrong)).toBeNull();
});

test("a sum is shown to the currency's smallest unit, and further where a price is finer", () => {
  expect(sumText("1250.50 GBP", british)).toBe("£1,250.50");
  expect(plain(sumText("1250.5 EUR", german))).toBe("1.250,50 €");
  expect(sumText("0.4567 GBP", british)).toBe("£0.4567");
  expect(sumText("885 JPY", british)).toBe("¥885");
  expect(sumText("-3.00 GBP", british)).toBe("\u2212£3.00");
});

test("shares and typed numbers are read as they are written, or not at all", () => {
  expect([percentOf("12.5 %"), percentOf("19 %"), percentOf("0.19")]).toEqual([12.5, 19, null]);
  expect([decimalFrom("62,50"), decimalFrom("1 250.5"), decimalFrom("007")]).toEqual([
    "62.50",
    "1250.5",
    "7",
  ]);
  expect(["", "-1", "1e3", "1.2.3", "NaN", "12 %"].map(decimalFrom)).toEqual([
    null,
    null,
    null,
    null,
    null,
    null,
  ]);
});
