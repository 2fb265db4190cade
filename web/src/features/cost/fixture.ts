/** A made-up price of the made-up home, for tests; nothing of it is shipped. */

import type { CostAnswer, Design, OfferAnswer } from "../../engine/types.ts";

export const design: Design = {
  id: "d1",
  name: "Made-up design",
  family: "poe-ceiling",
  parts: [],
  links: [
    {
      id: "l2",
      from: "switch",
      to: "ap-1",
      medium: { over: "cable", part: "cable-cat6" },
    },
  ],
  feeds: [],
} as unknown as Design;

const none = { low: null, high: null, confidence: null, estimate: false, sources: [] };

export const answer: CostAnswer = {
  revision: 7,
  design,
  quote: {
    take_off: [
      {
        part: "ap-ax",
        name: "Access point",
        quantity: 2,
        unit: "piece",
        unit_price: "120.00 EUR",
        price: "240.00 EUR",
      },
      {
        part: "cable-cat6",
        name: "Cable, Cat 6",
        quantity: 41.5,
        unit: "m",
        unit_price: "0.4567 EUR",
        price: "18.95 EUR",
      },
      {
        part: "gateway",
        name: "Gateway (already there)",
        quantity: 1,
        unit: "piece",
        unit_price: "0 EUR",
        price: "0.00 EUR",
      },
    ],
    spools: [
      {
        cable: "cable-cat6",
        open: 2,
        spools: [
          { length: 100, links: ["l2", "l9"], left: 58.5 },
          { length: 100, links: [], left: 100 },
        ],
        cut: 41.5,
        bought: 200,
        left: 158.5,
        bound: 200,
      },
    ],
    orders: [
      { part: "ap-ax", needed: 2, in_stock: 1, order: 1, unit: "piece" },
      { part: "cable-cat6", needed: 200, in_stock: 0, order: null, unit: "m" },
    ],
    labour: [
      { task: "mount an access point", quantity: 2, time: 5400 },
      { task: "pull a cable", quantity: 41.5, time: 9000 },
    ],
    hours: { p20: 3.1, p50: 4, p80: 5.6 },
    crew: { people: 2, days: 1, days_p80: 1, hours_by_two: 1.5 },
    routes: [{ link: "l2", length: 37.7, penetrations: 2, estimate: false }],
    price: {
      parts: "258.95 EUR",
      hours: "4",
      rate: "62.50 EUR",
      labour: "250.00 EUR",
      overhead: "50.90 EUR",
      margin: "139.96 EUR",
      to_minimum: "0.00 EUR",
      net: "699.81 EUR",
      taxes: [{ name: "VAT", amount: "132.96 EUR" }],
      tax: "132.96 EUR",
      total: "832.77 EUR",
      low: "640.10 EUR",
      high: "1101.50 EUR",
      stages: [
        { due: "on order", amount: "416.39 EUR" },
        { due: "when done", amount: "416.38 EUR" },
      ],
    },
    valid_until: "2026-12-29",
    statements: [
      {
        kind: "assumption",
        id: "generic-prices",
        text: "Generic prices may be off by 30 % either way.",
        reason: "2 of 3 parts without a price of the firm's own",
        subjects: ["cable-cat6"],
      },
      {
        kind: "risk",
        id: "hidden-obstacles",
        text: "Pipes hidden in these may force another way.",
        reason: "cables run inside 1 element that cannot be seen into",
        subjects: ["l2", "g-mid"],
      },
      {
        kind: "exclusion",
        id: "mains-outlet",
        text: "New mains outlets are not part of the offer.",
        reason: "1 part needs an outlet that is not there",
        subjects: ["ap-1"],
      },
    ],
    extras: [
      {
        id: "drop",
        what: "One more cable with its outlet",
        price: "96.40 EUR",
        missing: [],
        reason: "as the longest",
      },
      { id: "hour", what: "One more hour", price: null, missing: ["price of `labour-hour`"], reason: "" },
    ],
    access: [],
    holes: [],
    pathways: [],
    figures: [{ ...none, id: "price", subject: "d1", unit: "EUR", value: 832.77, low: 640.1, high: 1101.5 }],
    findings: [],
  },
  cautions: [{ work: "Drilling", text: "Find cables and pipes first." }],
  terms: {
    labour_rate: "62.50 EUR",
    overhead: "10 %",
    margin: "20 %",
    taxes: [{ name: "VAT", rate: "19 %" }],
    valid_days: 30,
    stages: [
      { due: "on order", share: "50 %" },
      { due: "when done", share: "50 %" },
    ],
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
  },
};

/** The same where the price list lacks a part. */
export const unpriced: CostAnswer = {
  ...answer,
  quote: {
    ...answer.quote,
    take_off: answer.quote.take_off.map((line) =>
      line.part === "ap-ax" ? { ...line, unit_price: null, price: null } : line,
    ),
    price: null,
    figures: [
      { ...none, id: "price", subject: "d1", unit: "EUR", value: null, missing: ["price of `ap-ax`"] },
    ],
  },
};

export const offer: OfferAnswer = {
  revision: 7,
  steps: [
    {
      tier: "good",
      option: "o1",
      rank: 1,
      recommended: false,
      price: 410,
      currency: "EUR",
      adds: [],
      costs: [],
      mends: [],
      reason: "ranked first of those that are cheaper than the recommended one",
    },
    {
      tier: "better",
      option: "o2",
      rank: 0,
      recommended: true,
      price: 833,
      currency: "EUR",
      adds: [{ figure: "coverage", this: 97, other: 88, unit: "%" }],
      costs: [{ figure: "price", this: 833, other: 410, unit: "EUR" }],
      mends: ["coverage.below-target"],
      reason: "ranked first",
    },
  ],
};
