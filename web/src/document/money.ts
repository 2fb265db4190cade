/** Sums of money and shares as the server writes them: exact decimals, shown to the smallest unit and never rounded further. */

import type { Reader } from "./format.ts";

export interface Sum {
  amount: number;
  currency: string;
  /** Digits behind the point, as written. */
  digits: number;
}

/** `1250.00 EUR` as a number and its currency; null for anything else. */
export function sumOf(money: string | null | undefined): Sum | null {
  const [, amount, decimals = "", currency] = /^(-?\d+(?:\.(\d+))?) ([A-Z]{3})$/.exec(money ?? "") ?? [];
  if (amount === undefined || currency === undefined) return null;
  return { amount: Number(amount), currency, digits: decimals.length };
}

/** With every digit that is written, and at least those of the currency. */
export function sumText(money: string | Sum, reader: Reader, isSigned = false): string {
  const sum = typeof money === "string" ? sumOf(money) : money;
  if (!sum) return typeof money === "string" ? money : "";
  const base = { style: "currency", currency: sum.currency, currencyDisplay: "narrowSymbol" } as const;
  const usual = new Intl.NumberFormat(reader.locale, base).resolvedOptions().maximumFractionDigits ?? 2;
  const shown = new Intl.NumberFormat(reader.locale, {
    ...base,
    minimumFractionDigits: usual,
    maximumFractionDigits: Math.max(usual, Math.min(sum.digits, 6)),
    signDisplay: isSigned ? "exceptZero" : "auto",
  }).format(sum.amount);
  return shown.replaceAll("-", "\u2212");
}

export const amountOf = (money: string | null | undefined): number | null => sumOf(money)?.amount ?? null;

/** The number of `12.5 %`; null for anything else. */
export function percentOf(text: string | null | undefined): number | null {
  const [, number] = /^\s*(-?\d+(?:\.\d+)?)\s*%\s*$/.exec(text ?? "") ?? [];
  return number === undefined ? null : Number(number);
}

/**
 * A number that somebody typed, with a point or a comma before its decimals, as the plain decimal that the server takes;
 * null if it is none.
 */
export function decimalFrom(typed: string): string | null {
  const plain = typed.replace(/[\s\u00a0\u202f']/g, "").replace(",", ".");
  return /^\d{1,12}(\.\d{1,6})?$/.test(plain) ? plain.replace(/^0+(?=\d)/, "") : null;
}
