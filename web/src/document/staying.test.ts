import { expect, test } from "vitest";
import type { ComponentRow, Design, JobDocument, ServiceRow } from "../engine/types.ts";
import { significant } from "./format.ts";
import {
  borne,
  causesOf,
  cutsInOrder,
  isHeld,
  losses,
  placesOf,
  protectedFirst,
  switched,
  upDecimals,
} from "./staying.ts";

test("figures keep to the digits that they bear, at both ends and at nought", () => {
  expect([336.2, 0.0416, 99.6, 0, 1004].map((value) => significant(value, 1))).toEqual([
    300, 0.04, 100, 0, 1000,
  ]);
  expect(significant(Number.NaN, 2)).toBeNaN();
  const of = (value: number, low: number, high: number, digits: number) =>
    borne({ value, low, high, least: 0, most: 0, digits });
  expect(of(336.2, 112, 1004, 1)).toEqual({ value: 300, low: 110, high: 1000 });
  // One digit would put this value below all that it may be.
  expect(of(149, 110, 220, 1)).toEqual({ value: 150, low: 110, high: 220 });
});

test("a share of time up has the decimals that the time down bears", () => {
  // 336 minutes of a year are 0.06 %, 5260 are 1 %, half a minute is 0.0001 %.
  expect([upDecimals(336, 1), upDecimals(336, 2), upDecimals(5260, 1), upDecimals(0.5, 1)]).toEqual([
    2, 3, 0, 4,
  ]);
  expect(upDecimals(0, 3)).toBe(2);
});

test("what must stay up comes first and else nothing moves", () => {
  const rows = ["a", "b!", "c", "d!"].map((id) => ({ id, must_stay_up: id.endsWith("!") }));
  expect(protectedFirst(rows).map(({ id }) => id)).toEqual(["b!", "d!", "a", "c"]);
});

test("kinds are counted by things, not by how often they occur", () => {
  const of = (id: string, kind: "mains" | "part") => ({ id, kind, longer_than_min: null });
  expect(causesOf([of("mains", "mains"), of("r", "part"), of("s", "part"), of("r", "part")])).toEqual([
    { kind: "mains", count: 1 },
    { kind: "part", count: 2 },
  ]);
});

test("switching twice leaves all as it was; the order is that of switching", () => {
  const off = switched(switched([], "a"), "b");
  expect(off).toEqual(["a", "b"]);
  expect(switched(off, "a")).toEqual(["b"]);
  expect(switched(switched(off, "c"), "c")).toEqual(off);
});

test("those that lose something: what must stay up first, what is down before what goes on", () => {
  const of = (id: string, state: "up" | "down" | "alternative" | "unknown", must_stay_up = false) => ({
    id,
    kind: "connection" as const,
    must_stay_up,
    state,
    alternatives: [],
    before: null,
    after: null,
    minutes_lost: null,
    if_line_holds: false,
  });
  const rows = [
    of("a", "alternative"),
    of("b", "down"),
    of("c", "up"),
    of("d", "alternative", true),
    of("e", "unknown"),
  ];
  expect(losses(rows).map(({ id }) => id)).toEqual(["d", "b", "e", "a"]);
});

test("things stand where they are on the plan: a circuit at its outlets, a line where it enters, the mains nowhere", () => {
  const design = { parts: [{ id: "router" }], links: [{ id: "l1" }] } as unknown as Design;
  const document = {
    building: { outlets: [{ id: "o1", circuit: "c1" }, { id: "o2" }, { id: "o3", circuit: "c1" }] },
  } as unknown as JobDocument;
  const of = (id: string, kind: Parameters<typeof placesOf>[0]["kind"]) =>
    placesOf({ id, kind }, design, document);
  expect(of("c1", "circuit")).toEqual([
    { on: "outlet", id: "o1" },
    { on: "outlet", id: "o3" },
  ]);
  expect(of("line-1", "line")).toEqual([{ on: "demarcation", id: "demarcation" }]);
  expect([of("router", "part"), of("gone", "part"), of("l1", "cable"), of("mains", "mains")]).toEqual([
    [{ on: "part", id: "router" }],
    [],
    [{ on: "link", id: "l1" }],
    [],
  ]);
});

test("cuts: fewest things first, then the longest down; what is taken to hold is never down", () => {
  const of = (id: string) => ({ id, kind: "part" as const, longer_than_min: null });
  const cuts = [
    { members: [of("a")], minutes: 10 },
    { members: [of("b"), of("c")], minutes: 99 },
    { members: [of("d")], minutes: 30 },
    { members: [of("e")], minutes: null },
  ];
  const service = { cuts } as unknown as ServiceRow;
  expect(cutsInOrder(service)).toEqual([3, 2, 0, 1]);
  const rows = [{ id: "c", kind: "part", taken_to_hold: true }] as unknown as ComponentRow[];
  expect(cuts.map((cut) => isHeld(cut, rows))).toEqual([false, true, false, false]);
});
