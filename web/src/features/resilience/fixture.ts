/** What stays up in a made-up home, for tests; nothing of it is shipped. */

import type {
  ComponentRow,
  Design,
  Interval,
  JobDocument,
  Member,
  ServiceRow,
  StayingAnswer,
  WhatIfAnswer,
} from "../../engine/types.ts";
import type { Known } from "./words.ts";

export const design = {
  id: "d1",
  name: "Made-up design",
  parts: [
    { id: "termination", part: "ont-1g", room: "utility", at: [9.7, 6.4, 1.2], mounting: "shelf" },
    { id: "router", part: "router-wired", room: "utility", at: [9.7, 6.4, 1.2], mounting: "shelf" },
    { id: "ap-1", part: "ap-ax", room: "living", at: [4.6, 3.4, 2.4], mounting: "ceiling" },
    {
      id: "battery-1",
      part: "battery-supply-600va",
      room: "utility",
      at: [9.7, 6.4, 0.4],
      mounting: "shelf",
    },
  ],
  links: [
    { id: "l1", from: "router", to: "ap-1", medium: { over: "cable", part: "cable-cat6" } },
    { id: "l2", from: "router", to: "desktop-1", medium: { over: "cord" } },
  ],
} as unknown as Design;

export const document = {
  site: { currency: "EUR", lines: [{ id: "line-1", kind: "fibre" }] },
  building: {
    circuits: [{ id: "c1", name: "Utility" }],
    outlets: [
      { id: "socket-1", circuit: "c1", kind: "mains", storey: "ground", at: [1, 1] },
      { id: "socket-2", circuit: "c2", kind: "mains", storey: "ground", at: [2, 1] },
    ],
  },
  household: {
    devices: [
      { id: "laptop-1", kind: "laptop", room: "study" },
      { id: "desktop-1", kind: "desktop", room: "study" },
    ],
    activities: [{ id: "work-1", kind: "remote-work", device: "laptop-1" }],
  },
} as unknown as JobDocument;

export const known: Known = { design, document, reader: { locale: "en-GB", units: "metric" } };

const source = { kind: "generic-figure", cite: "generic figure", from_memory: true } as const;

export function interval(value: number, low: number, high: number, digits = 1): Interval {
  return { value, low, high, least: low, most: high, digits };
}

export const mains: Member = { id: "mains", kind: "mains", longer_than_min: null };
export const longMains: Member = { id: "mains", kind: "mains", longer_than_min: 95 };
export const line: Member = { id: "line-1", kind: "line", longer_than_min: null };
const part = (id: string): Member => ({ id, kind: "part", longer_than_min: null });

function service(id: string, kind: ServiceRow["kind"], more: Partial<ServiceRow> = {}): ServiceRow {
  return {
    id,
    kind,
    device: kind === "internet" ? null : id,
    must_stay_up: false,
    availability: interval(0.99936, 0.998, 0.9998),
    minutes: interval(336.2, 110, 1004),
    usual_minutes: null,
    minutes_if_line_dies: null,
    missing: [],
    single_points: [line, part("router")],
    cuts: [
      { members: [line], minutes: 240.3 },
      { members: [part("router")], minutes: 60.1 },
    ],
    cuts_complete_to: 3,
    importances: [],
    alternatives: [],
    mains: {
      outlasts: null,
      if_line_holds: false,
      ridden: null,
      ridden_long_tailed: null,
      minutes: null,
      minutes_long_tailed: null,
    },
    ...more,
  };
}

function component(id: string, kind: ComponentRow["kind"], more: Partial<ComponentRow> = {}): ComponentRow {
  return {
    id,
    kind,
    minutes: interval(60, 20, 180),
    taken_to_hold: false,
    missing: null,
    source,
    takes_down: [],
    by_alternative: [],
    ...more,
  };
}

export const answer: StayingAnswer = {
  revision: 7,
  design,
  staying: {
    design: "d1",
    services: [
      service("desktop-1", "connection", {
        minutes: null,
        availability: null,
        missing: ["failures of `router`"],
      }),
      service("laptop-1", "connection", {
        must_stay_up: true,
        minutes_if_line_dies: 510,
        usual_minutes: 420,
        cuts: [
          { members: [line], minutes: 240.3 },
          { members: [longMains, part("battery-1")], minutes: 12.4 },
          { members: [{ id: "c1", kind: "circuit", longer_than_min: null }, part("ap-1")], minutes: null },
        ],
        importances: [
          { id: "line-1", kind: "line", birnbaum: 0.99968, criticality: 0.714, fussell_vesely: 0.72 },
          { id: "router", kind: "part", birnbaum: 0.9994, criticality: 0.18, fussell_vesely: 0.18 },
        ],
        alternatives: [{ kind: "access-point", by: "ap-1", rate_share: 0.4 }],
        mains: {
          outlasts: 5700,
          if_line_holds: true,
          ridden: 0.61,
          ridden_long_tailed: 0.74,
          minutes: 48,
          minutes_long_tailed: 77,
        },
      }),
      service("router", "internet"),
      service("work-1", "activity", { must_stay_up: true, single_points: [] }),
    ],
    components: [
      component("mains", "mains", { takes_down: ["desktop-1", "router"] }),
      component("mains", "mains", { takes_down: ["laptop-1", "work-1"] }),
      component("c1", "circuit"),
      component("line-1", "line", { takes_down: ["laptop-1", "router", "work-1"] }),
      component("router", "part", { minutes: null, missing: "failures of `router`" }),
      component("ap-1", "part", { by_alternative: ["laptop-1"] }),
      component("l1", "cable", { minutes: null, taken_to_hold: true }),
    ],
    batteries: [
      {
        id: "battery-1",
        items: [{ id: "router", load: 8, lost: 0, over: null }],
        load: 8.2,
        drawn: 11.1,
        runtime: 5700,
        runtime_low: 4200,
        runtime_high: 6300,
        stages: [],
        curve: [],
        recharge: 28_800,
        standby_kwh: 43.8,
        problem: null,
      },
    ],
    own_batteries: [{ device: "laptop-1", runtime: 14_400, is_generic: true }],
    outages: [
      {
        id: "mains",
        kind: "mains",
        a_year: 1.42,
        mean: 7080,
        minutes: interval(168, 90, 310, 2),
        law: "exponential and lognormal",
        far_end: null,
        source: { kind: "dataset", cite: "a published table" },
      },
      {
        id: "line-1",
        kind: "line",
        a_year: 0.5,
        mean: 28_800,
        minutes: interval(240, 80, 700),
        law: "exponential",
        far_end: null,
        source,
      },
    ],
    findings: [],
    assumptions: ["Conduits hold."],
  },
  changes: [
    {
      change: { id: "patch-desktop-1", price: 0, change: "patch", device: "desktop-1", into: "router" },
      saves: {
        id: "patch-desktop-1",
        work_minutes: 12.34,
        other_minutes: 1e-9,
        work_minutes_per_unit: Number.MAX_VALUE,
        other_minutes_per_unit: 0,
        problem: null,
      },
    },
    {
      change: { id: "spare-router", price: null, change: "spare", part: "router", mttr: 14_400 },
      saves: {
        id: "spare-router",
        work_minutes: 158,
        other_minutes: null,
        work_minutes_per_unit: null,
        other_minutes_per_unit: null,
        problem: null,
      },
    },
  ],
};

export const whatIf: WhatIfAnswer = {
  revision: 7,
  design,
  what_if: {
    without_effect: ["battery-1"],
    services: [
      {
        id: "desktop-1",
        kind: "connection",
        must_stay_up: false,
        state: "down",
        alternatives: [],
        before: 0.999,
        after: 0,
        minutes_lost: 525_400,
        if_line_holds: false,
      },
      {
        id: "laptop-1",
        kind: "connection",
        must_stay_up: true,
        state: "alternative",
        alternatives: [{ kind: "access-point", by: "ap-1", rate_share: 0.4 }],
        before: 0.9994,
        after: 0.9991,
        minutes_lost: 158,
        if_line_holds: true,
      },
      {
        id: "router",
        kind: "internet",
        must_stay_up: false,
        state: "up",
        alternatives: [],
        before: 0.9995,
        after: 0.9995,
        minutes_lost: 0,
        if_line_holds: false,
      },
    ],
  },
};
