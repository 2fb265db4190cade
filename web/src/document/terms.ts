/** The terms of a quote as a form: what was typed, what of it does not fit, and the edits that it makes. */

import type { Access, Edit, FieldProblem, Terms } from "../engine/types.ts";
import { decimalFrom, percentOf, sumOf } from "./money.ts";

/** Texts as they stand in the fields. */
export interface TermsDraft {
  labour_rate: string;
  overhead: string;
  margin: string;
  minimum_charge: string;
  taxes: { name: string; rate: string }[];
  valid_days: string;
  crew: string;
  /** Hours. */
  day: string;
  access: Access | "";
}

export type TermName = keyof TermsDraft;

export const termNames: readonly TermName[] = [
  "labour_rate",
  "overhead",
  "margin",
  "minimum_charge",
  "taxes",
  "valid_days",
  "crew",
  "day",
  "access",
];

const secondsPerHour = 3600;

/** Between which values a term can be used; the server holds the same limits. */
export const termLimits = {
  overhead: 1000,
  margin: 95,
  tax: 1000,
  crew: [1, 20],
  valid_days: [0, 3650],
  day: [2, 16],
} as const;

const amountText = (money: string | null | undefined): string => money?.split(" ")[0] ?? "";
const percentText = (share: string): string => String(percentOf(share) ?? share);

export function draftOf(terms: Terms): TermsDraft {
  return {
    labour_rate: amountText(terms.labour_rate),
    overhead: percentText(terms.overhead),
    margin: percentText(terms.margin),
    minimum_charge: amountText(terms.minimum_charge),
    taxes: terms.taxes.map(({ name, rate }) => ({ name, rate: percentText(rate) })),
    valid_days: String(terms.valid_days),
    crew: String(terms.crew),
    day: String(terms.day / secondsPerHour),
    access: terms.access ?? "",
  };
}

/** What is wrong with a field, by its path such as `taxes/0/rate`. */
export interface TermWords {
  amount: string;
  percent(high: number): string;
  whole(low: number, high: number): string;
  day: string;
  name: string;
}

export function problemsOf(draft: TermsDraft, words: TermWords): FieldProblem[] {
  const problems: FieldProblem[] = [];
  const fail = (path: string, message: string) => problems.push({ path, message, hint: "" });
  const isWithin = (typed: string, low: number, high: number): boolean => {
    const value = decimalFrom(typed);
    return value !== null && Number(value) >= low && Number(value) <= high;
  };
  for (const path of ["labour_rate", "minimum_charge"] as const) {
    if (draft[path].trim() !== "" && decimalFrom(draft[path]) === null) fail(path, words.amount);
  }
  for (const path of ["overhead", "margin"] as const) {
    if (!isWithin(draft[path], 0, termLimits[path])) fail(path, words.percent(termLimits[path]));
  }
  draft.taxes.forEach(({ name, rate }, place) => {
    if (name.trim() === "") fail(`taxes/${place}/name`, words.name);
    if (!isWithin(rate, 0, termLimits.tax)) fail(`taxes/${place}/rate`, words.percent(termLimits.tax));
  });
  for (const path of ["valid_days", "crew"] as const) {
    const [low, high] = termLimits[path];
    if (!/^\s*\d+\s*$/.test(draft[path]) || !isWithin(draft[path], low, high))
      fail(path, words.whole(low, high));
  }
  if (!isWithin(draft.day, ...termLimits.day)) fail("day", words.day);
  return problems;
}

/** A draft's term as the document holds it; nothing where the term is left to its default. */
function termValue(name: TermName, draft: TermsDraft, currency: string): unknown {
  const percent = (typed: string) => `${decimalFrom(typed)} %`;
  const money = (typed: string) => (typed.trim() === "" ? undefined : `${decimalFrom(typed)} ${currency}`);
  switch (name) {
    case "labour_rate":
    case "minimum_charge":
      return money(draft[name]);
    case "overhead":
    case "margin":
      return percent(draft[name]);
    case "taxes":
      return draft.taxes.map(({ name, rate }) => ({ name: name.trim(), rate: percent(rate) }));
    case "valid_days":
    case "crew":
      return Number(draft[name]);
    case "day":
      return Number(decimalFrom(draft.day)) * secondsPerHour;
    case "access":
      return draft.access === "" ? undefined : draft.access;
  }
}

/** The terms in which two drafts differ. */
export function changedTerms(before: TermsDraft, after: TermsDraft): TermName[] {
  return termNames.filter((name) => JSON.stringify(before[name]) !== JSON.stringify(after[name]));
}

/** The edits that make the document's terms those of a draft without problems. */
export function termsEdits(
  names: readonly TermName[],
  draft: TermsDraft,
  currency: string,
  hasTerms: boolean,
): Edit[] {
  if (names.length === 0) return [];
  if (!hasTerms) {
    const value = Object.fromEntries(
      names
        .map((name) => [name, termValue(name, draft, currency)] as const)
        .filter(([, v]) => v !== undefined),
    );
    return [{ kind: "set", path: "terms", value }];
  }
  return names.map((name): Edit => {
    const value = termValue(name, draft, currency);
    return { kind: "set", path: `terms/${name}`, ...(value === undefined ? {} : { value }) };
  });
}

/** The currency of a quote: that of its price, else of the site. */
export function currencyOf(total: string | null | undefined, site: string): string {
  return sumOf(total)?.currency ?? site;
}
