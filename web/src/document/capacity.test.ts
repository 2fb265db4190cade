import { expect, test } from "vitest";
import type { ActivityHour, CapacityAnswer, Design } from "../engine/types.ts";
import {
  outstanding,
  partsOfTime,
  placeOf,
  relatedTo,
  unmetFirst,
  weightLimits,
  weightOf,
} from "./capacity.ts";

const activity = (id: string, device: string, met: number | null) =>
  ({ id, device, met }) as unknown as ActivityHour;

const answer = {
  capacity: {
    channels: [
      { part: "ap-1", band: "2.4" },
      { part: "ap-1", band: "5" },
      { part: "ap-2", band: "5" },
    ],
    uplinks: [
      { part: "ap-2", parent: "router" },
      { part: "ap-3", parent: "router" },
    ],
    line: { line: "line-1" },
    activities: [
      activity("watch", "tv", 0.99),
      activity("call", "laptop", 0.9),
      activity("read", "laptop", null),
      activity("backup", "phone", 0.2),
    ],
  },
  joins: [
    { device: "laptop", part: "ap-1", band: "5" },
    { device: "phone", part: "ap-2", band: "5" },
    { device: "lost", part: null, band: null },
  ],
} as unknown as CapacityAnswer;

const design = {
  parts: [{ id: "ap-1" }, { id: "ap-2" }],
  links: [{ id: "l2", from: "router", to: "ap-2" }],
} as unknown as Design;

test("what belongs to what is selected is known both ways", () => {
  const of = (kind: "device" | "activity" | "channel" | "part" | "uplink" | "line", id: string) => {
    const { channels, activities, devices, uplinks, line } = relatedTo(answer, { kind, id });
    return [[...channels], [...activities], [...devices], [...uplinks], line];
  };
  expect(of("device", "laptop")).toEqual([["ap-1:5"], ["call", "read"], ["laptop"], [], false]);
  expect(of("activity", "call")).toEqual([["ap-1:5"], ["call"], ["laptop"], [], false]);
  expect(of("activity", "watch")).toEqual([[], ["watch"], ["tv"], [], false]);
  expect(of("channel", "ap-1:2.4")).toEqual([["ap-1:2.4"], [], [], [], false]);
  expect(of("part", "ap-2")).toEqual([["ap-2:5"], [], [], ["ap-2"], false]);
  expect(of("uplink", "ap-3")).toEqual([[], [], [], ["ap-3"], false]);
  expect(of("line", "line-1")).toEqual([[], [], [], [], true]);
  // An address may name what is not there.
  expect(of("activity", "gone")).toEqual([[], ["gone"], [], [], false]);
});

test("the lines of the devices that the selection is about stand out; without one, all are alike", () => {
  const of = (kind: "channel" | "part" | "device" | "room", id: string) =>
    outstanding(answer, { kind, id }) && [...(outstanding(answer, { kind, id }) ?? [])];
  expect(of("channel", "ap-1:5")).toEqual(["laptop"]);
  expect(of("channel", "ap-1:2.4")).toBeNull();
  expect(of("part", "ap-2")).toEqual(["phone"]);
  expect(of("device", "tv")).toEqual(["tv"]);
  expect(of("room", "living")).toBeNull();
  expect(outstanding(answer, null)).toBeNull();
});

test("a bottleneck is where it can be seen on the plan", () => {
  const at = (carrier: Parameters<typeof placeOf>[2]["carrier"], subject: string) =>
    placeOf(answer, design, { carrier, subject, band: null, load: 1, limit: 0.5 });
  expect(at("line-up", "line-1")).toEqual({ on: "demarcation", id: "line-1" });
  expect(at("channel", "ap-1")).toEqual({ on: "part", id: "ap-1" });
  expect(at("cable", "ap-2")).toEqual({ on: "link", id: "l2" });
  // No link of the design joins these two: the far part stands for it.
  expect(at("radio-uplink", "ap-3")).toEqual({ on: "part", id: "ap-3" });
  expect(at("link", "laptop")).toEqual({ on: "device", id: "laptop" });
  expect(at("delay", "line-1")).toEqual({ on: "demarcation", id: "line-1" });
  expect(at("delay", "ap-1")).toEqual({ on: "part", id: "ap-1" });
});

test("those not met come first, the worst before; the others keep their order", () => {
  const ids = (list: readonly ActivityHour[]) => list.map(({ id }) => id);
  expect(ids(unmetFirst(answer.capacity.activities))).toEqual(["backup", "call", "watch", "read"]);
  expect(ids(answer.capacity.activities)).toEqual(["watch", "call", "read", "backup"]);
});

test("weights step where the key says", () => {
  expect([0, ...weightLimits].map(weightOf)).toEqual([0, 1, 2, 3, 4]);
  expect(weightOf(0.0029)).toBe(0);
  expect(weightOf(1)).toBe(4);
});

test("a channel's time is all of it, however much is asked of it", () => {
  const channel = (own: number, neighbours: number) =>
    ({
      own: { median: own, poor: 1 },
      collided: { median: 0.1, poor: 1 },
      beacons: 0.02,
      neighbours,
    }) as Parameters<typeof partsOfTime>[0];
  const { parts, free } = partsOfTime(channel(0.3, 0.2));
  expect(parts.map(({ share }) => share)).toEqual([0.3, 0.1, 0.02, 0.2]);
  expect(free).toBeCloseTo(0.38, 12);
  const full = partsOfTime(channel(0.9, 0.4));
  expect(full.free).toBe(0);
  expect(full.parts.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 12);
});
