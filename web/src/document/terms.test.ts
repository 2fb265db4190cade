import { expect, test } from "vitest";
import type { Terms } from "../engine/types.ts";
import { changedTerms, draftOf, problemsOf, type TermsDraft, termsEdits } from "./terms.ts";

const terms: Terms = {
  labour_rate: "62.50 EUR",
  overhead: "10 %",
  margin: "20 %",
  taxes: [{ name: "VAT", rate: "19 %" }],
  valid_days: 30,
  stages: [],
  generic_price_spread: "30 %",
  crew: 2,
  day: 28_800,
  return_visits: 1,
  materials: {
    waste: "10 %",
    pulled_at_once: 2,
    spools: [100, 305],
    whole_spools: false,
    spares: "5 %",
  },
  stock: {},
};
const words = {
  amount: "an amount",
  percent: (high: number) => `at most ${high} %`,
  whole: (low: number, high: number) => `${low} to ${high}`,
  day: "2 to 16 hours",
  name: "a name",
};
const wrong = (part: Partial<TermsDraft>) =>
  problemsOf({ ...draftOf(terms), ...part }, words).map(({ path }) => path);

test("terms stand in the fields without their units, and change nothing by themselves", () => {
  const draft = draftOf(terms);
  expect(draft).toEqual({
    labour_rate: "62.50",
    overhead: "10",
    margin: "20",
    minimum_charge: "",
    taxes: [{ name: "VAT", rate: "19" }],
    valid_days: "30",
    crew: "2",
    day: "8",
    access: "",
  });
  expect(problemsOf(draft, words)).toEqual([]);
  expect(changedTerms(draft, draftOf(terms))).toEqual([]);
  expect(termsEdits([], draft, "EUR", true)).toEqual([]);
});

test("what cannot be used is told at its field", () => {
  expect(wrong({ labour_rate: "-1" })).toEqual(["labour_rate"]);
  expect(wrong({ labour_rate: "", minimum_charge: "" })).toEqual([]);
  expect(wrong({ margin: "96", overhead: "" })).toEqual(["overhead", "margin"]);
  expect(wrong({ margin: "95", overhead: "1000" })).toEqual([]);
  expect(wrong({ taxes: [{ name: " ", rate: "NaN" }] })).toEqual(["taxes/0/name", "taxes/0/rate"]);
  expect(wrong({ crew: "1.5", valid_days: "-3" })).toEqual(["valid_days", "crew"]);
  expect([wrong({ day: "1.9" }), wrong({ day: "16" })]).toEqual([["day"], []]);
});

test("each changed term is one edit in the document's form; an empty field unsets", () => {
  const draft: TermsDraft = {
    ...draftOf(terms),
    labour_rate: "",
    margin: "22,5",
    taxes: [],
    day: "7.5",
    access: "solid",
  };
  const names = changedTerms(draftOf(terms), draft);
  expect(termsEdits(names, draft, "EUR", true)).toEqual([
    { kind: "set", path: "terms/labour_rate" },
    { kind: "set", path: "terms/margin", value: "22.5 %" },
    { kind: "set", path: "terms/taxes", value: [] },
    { kind: "set", path: "terms/day", value: 27_000 },
    { kind: "set", path: "terms/access", value: "solid" },
  ]);
});

test("a job without terms is given those that were changed, and no others", () => {
  const draft = { ...draftOf(terms), labour_rate: "70", crew: "3" };
  expect(termsEdits(["labour_rate", "crew"], draft, "GBP", false)).toEqual([
    { kind: "set", path: "terms", value: { labour_rate: "70 GBP", crew: 3 } },
  ]);
});
