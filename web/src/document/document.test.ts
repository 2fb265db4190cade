import { expect, test } from "vitest";
import type {
  CoverageMap,
  Design,
  DesignOption,
  Figure,
  Finding,
  House,
  Room,
  Storey,
} from "../engine/types.ts";
import { applyRemedy, movePart, ownCopy, pendingValue, renameRoom } from "./edits.ts";
import { changeFrom, countBySeverity, figureOf } from "./figures.ts";
import { isOnSheet, keynotesOf } from "./keynotes.ts";
import { sharesByRoom } from "./rooms.ts";

function figure(id: string, subject: string, value: number | null, unit = "%"): Figure {
  return { id, subject, value, unit, low: null, high: null, confidence: null, estimate: false, sources: [] };
}

const design: Design = {
  id: "d1",
  name: "One",
  family: "gateway",
  links: [],
  radios: [],
  segments: [],
  feeds: [],
  parts: [
    {
      id: "ap-1",
      part: "ap",
      room: "living",
      at: [1, 2, 2.4] as [number, number, number],
      mounting: "wall" as const,
      kept: false,
    },
  ],
};

const option: DesignOption = {
  id: "d1",
  family: "gateway",
  design,
  figures: [figure("outage.minutes", "internet", 10, "min/yr"), figure("outage.minutes", "d1", 40, "min/yr")],
  findings: [],
  cautions: [],
  gap: null,
  beats: [],
  beaten_by: [],
};

function finding(rule: string, severity: Finding["severity"], subjects: string[]): Finding {
  return {
    rule,
    severity,
    subjects,
    message: rule,
    measured: null,
    limit: null,
    source: { kind: "model", cite: "x" },
    remedies: [],
  };
}

function room(id: string): Room {
  return { id, name: id, use: "living", area_m2: 10, outline: [], holes: [], inside: [3, 4], target: null };
}

const storey: Storey = {
  id: "ground",
  name: "Ground",
  use: "living",
  floor_z: 0,
  ceiling_z: 2.4,
  walls: [],
  openings: [],
  rooms: [room("living"), room("hall")],
  stairs: [],
  outlets: [],
  objects: [],
};

const house: House = {
  revision: 1,
  name: "Home",
  units: "metric",
  north_deg: 0,
  bounds: { min: [0, 0], max: [10, 10] },
  demarcation: null,
  storeys: [storey],
};

test("a headline is the design's own figure, not a part's", () => {
  expect(figureOf(option, "outage.minutes")?.value).toBe(40);
  expect(figureOf(option, "price")).toBeNull();
});

test("a change says by how much and whether it is better", () => {
  const pinned = figure("price", "a", 100, "USD");
  expect(changeFrom(pinned, figure("price", "b", 80, "USD"), "less")).toEqual({
    by: -20,
    unit: "USD",
    better: true,
  });
  expect(changeFrom(pinned, figure("price", "b", 80, "USD"), "more")?.better).toBe(false);
  expect(changeFrom(pinned, figure("price", "b", 100, "USD"), "less")?.better).toBeNull();
  expect(changeFrom(pinned, figure("price", "b", 80, "GBP"), "less")).toBeNull();
  expect(changeFrom(pinned, figure("price", "b", null, "USD"), "less")).toBeNull();
});

test("keynotes are numbered worst first and placed by what they are about", () => {
  const findings = [
    finding("cost.tax-not-included", "note", ["d1"]),
    finding("coverage.room-below-target", "fails", ["hall"]),
    finding("wlan.own-overlap", "risk", ["ap-1"]),
    finding("wlan.own-overlap", "risk", ["ap-1"]),
  ];
  const notes = keynotesOf(findings, house, design);
  expect(notes.map((note) => [note.n, note.severity, note.storey, note.at])).toEqual([
    [1, "fails", "ground", [3, 4]],
    [2, "risk", "ground", [1, 2]],
    [3, "risk", "ground", [1, 2]],
    [4, "note", null, null],
  ]);
  expect(new Set(notes.map((note) => note.id)).size).toBe(4);
  expect(notes.filter((note) => isOnSheet(note, "coverage")).map((note) => note.n)).toEqual([1, 2, 3]);
  expect(notes.filter((note) => isOnSheet(note, "capacity")).map((note) => note.n)).toEqual([2, 3]);
  const [beacons] = keynotesOf([finding("wlan.beacon-airtime", "risk", ["ap-1"])], house, design);
  expect(beacons && [isOnSheet(beacons, "coverage"), isOnSheet(beacons, "capacity")]).toEqual([false, true]);
  expect(notes.filter((note) => isOnSheet(note, "options"))).toHaveLength(4);
  expect(countBySeverity(findings)).toEqual({ unsafe: 0, fails: 1, risk: 2, note: 1 });
});

test("a finding about a device, an activity or the line is where that is", () => {
  const home: House = { ...house, demarcation: { storey: "ground", at: [9, 9] } };
  const device = {
    id: "phone",
    kind: "phone" as const,
    count: 1,
    room: "living",
    attachment: "wireless" as const,
  };
  const devices = [
    { ...device, must_stay_up: false, has_battery: true },
    { ...device, id: "camera", at: [0.5, 0.6], must_stay_up: false, has_battery: false },
  ];
  const known = {
    household: { devices, activities: [{ id: "call", device: "phone" }] },
    site: { lines: [{ id: "line-1" }] },
  } as unknown as Parameters<typeof keynotesOf>[3];
  const at = (subject: string) =>
    keynotesOf([{ ...finding("traffic.x", "note", [subject]), place: null }], home, design, known)[0]?.at;
  expect(at("camera")).toEqual([0.5, 0.6]);
  expect(at("phone")).toEqual(at("call"));
  expect(at("phone")).toEqual(house.storeys[0]?.rooms[0]?.inside);
  expect(at("line-1")).toEqual([9, 9]);
  expect(at("nobody")).toBeNull();
});

test("a remedy on a design that is not kept keeps it first, in one change", () => {
  const remedy = { text: "x", edits: [{ kind: "set" as const, path: "designs/d1/radios", value: [] }] };
  expect(applyRemedy(remedy, design, false).map((edit) => edit.kind)).toEqual(["insert", "set"]);
  expect(applyRemedy(remedy, design, true).map((edit) => edit.kind)).toEqual(["set"]);
});

test("the last unsent change is what will hold", () => {
  const unsent = [...renameRoom("hall", "Lobby"), ...renameRoom("hall", "Entrance")];
  expect(pendingValue(unsent, "building/rooms/hall/name")).toBe("Entrance");
  expect(pendingValue(unsent, "name")).toBeUndefined();
});

test("a room's covered share counts cells with a target only", () => {
  const map: CoverageMap = {
    revision: 1,
    design: "d1",
    storey: "ground",
    band: "any",
    quantity: "level",
    unit: "dBm",
    origin: [0, 0],
    cell: 1,
    rows: 2,
    columns: 3,
    values: [-50, -60, -70, null, -40, null],
    margin_db: [5, 0, -1, -3, null, null],
    room: [0, 0, 0, 0, 1, null],
    levels: [],
    missing: [],
  };
  expect(sharesByRoom(map, storey).map(({ covered, lowest, highest }) => [covered, lowest, highest])).toEqual(
    [
      [0.5, -70, -50],
      [null, -40, -40],
    ],
  );
});

test("a moved part is set with its room; a copy of one's own never takes an id that is taken", () => {
  expect(movePart("own-1", "ap-1", [2, 3, 2.4], "study")).toEqual([
    { kind: "set", path: "designs/own-1/parts/ap-1/at", value: [2, 3, 2.4] },
    { kind: "set", path: "designs/own-1/parts/ap-1/room", value: "study" },
  ]);
  const design = { id: "8fc0", name: "Own router", family: "own-router", parts: [] } as unknown as Design;
  const name = (number: number) => `Copy ${number}`;
  expect(ownCopy(design, ["8fc0"], name)).toEqual({ ...design, id: "own-1", name: "Copy 1" });
  expect(ownCopy(design, ["own-1", "own-2", "own-4"], name)).toMatchObject({ id: "own-3", name: "Copy 3" });
});
