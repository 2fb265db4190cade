import { expect, test } from "vitest";
import type { Finding } from "../engine/types.ts";
import { isOnSheet, keynotesOf } from "./keynotes.ts";
import { type Level, levelOf, levelOfHole, roomAbove, roomsAround } from "./levels.ts";
import { cableLines, fedLines, labelOf, poweredPorts, tightest } from "./wireRows.ts";
import { answer, design } from "./wires.fixture.ts";
import { gapShare, madeRows, notLaid, pathwaysOf, wiredPath, wiresOf } from "./wiring.ts";

function level(id: string, floor_z: number, x0 = 0, x1 = 6): Level {
  const room = (name: string, a: number, b: number) => ({
    id: name,
    name,
    outline: [
      [a, 0],
      [b, 0],
      [b, 4],
      [a, 4],
    ] as const,
    holes: [],
  });
  const middle = (x0 + x1) / 2;
  return { id, floor_z, rooms: [room(`${id} west`, x0, middle), room(`${id} east`, middle, x1)] };
}

const home = [level("cellar", -2.4), level("ground", 0), level("upper", 2.7)];

test("a point belongs to the storey from which it is reached", () => {
  const at = (z: number, isLow = false) => levelOf(home, [1, 1, z], isLow)?.id;
  expect([at(0.3), at(2.2), at(2.5), at(2.7), at(9)]).toEqual([
    "ground",
    "ground",
    "ground",
    "upper",
    "upper",
  ]);
  // Under the lowest floor, and under a floor that is reached from above.
  expect([at(-3), at(-0.6), at(-0.6, true)]).toEqual(["cellar", "cellar", "ground"]);
  expect(levelOf([], [0, 0, 0])).toBeUndefined();
});

test("of storeys at much the same height, the one whose rooms are there", () => {
  const split = [level("front", 0, 0, 6), level("back", 1.2, 6, 12)];
  expect(levelOf(split, [2, 1, 1.5])?.id).toBe("front");
  expect(levelOf(split, [9, 1, 1.5])?.id).toBe("back");
  // In the outer wall of one of them.
  expect(levelOf(split, [12.2, 1, 1.5])?.id).toBe("back");
});

test("a hole in a floor is of the storey below, whichever face its place is on", () => {
  for (const z of [2.45, 2.58, 2.7]) {
    expect(levelOfHole(home, { kind: "floor", at: [1, 1, z] })?.id).toBe("ground");
  }
  expect(levelOfHole(home, { kind: "wall", at: [1, 1, 2.8] })?.id).toBe("upper");
  expect(roomAbove(home, [1, 1, 2.5])).toBe("upper west");
  expect(roomsAround(home[1] as Level, [3, 1], 0.3)).toEqual(["ground east", "ground west"]);
});

test("what belongs to a selection: a cable's holes, a hole's cables, a part's cables", () => {
  const ids = (kind: "cable" | "hole" | "part" | "device" | "room", id: string) => {
    const found = wiresOf(answer, { kind, id });
    return found && [[...found.cables], [...found.holes]];
  };
  expect(ids("cable", "l2")).toEqual([["l2"], ["hole-1", "hole-2"]]);
  expect(ids("hole", "hole-1")).toEqual([["l2", "l3", "l4"], ["hole-1"]]);
  expect(ids("part", "ap-2")).toEqual([["l3"], []]);
  expect(ids("device", "television-1")).toEqual([["l5"], []]);
  expect(ids("part", "panel")).toBeNull();
  expect(ids("room", "hall")).toBeNull();
  expect(wiresOf(answer, null)).toBeNull();
});

test("the gap is a share of what was found, and nothing where that says nothing", () => {
  const gap = { figure: "x", found: 200, bound: 196, method: "m" };
  expect(gapShare(gap)).toBeCloseTo(0.02);
  expect(gapShare({ ...gap, bound: 201 })).toBe(0);
  expect(gapShare({ ...gap, found: 0, bound: 0 })).toBeNull();
  expect(gapShare(null)).toBeNull();
});

test("cables are joined with their ways; those without are told", () => {
  expect(notLaid(answer)).toEqual(["l6"]);
  const lines = cableLines(answer);
  expect(lines.map(({ from, to, isCord }) => [from, to, isCord])).toEqual([
    ["router", "switch", true],
    ["switch", "ap-1", false],
    ["switch", "ap-2", false],
    ["switch", "outlet-1", false],
    ["switch", "television-1", false],
    ["switch", "camera-1", false],
  ]);
  expect(lines[1]?.ways).toEqual(["open", "stud-bay", "joist-bay", "across-joists", "through"]);
  expect(lines[5]?.length.value).toBeNull();
  expect([labelOf(answer, "l2"), labelOf(answer, "l6"), labelOf(answer, "l1")]).toEqual([
    "A-01",
    "A-05",
    "l1",
  ]);
});

test("runs are counted once, cables in them each; what is made is joined by element", () => {
  const [wall, joists, raceway] = pathwaysOf(answer);
  expect(wall).toMatchObject({ way: "stud-bay", length: 1.35, most: 3, leastPipe: 20.8, made: 0 });
  expect(wall?.cable).toBeCloseTo(4.05);
  expect(joists?.most).toBe(2);
  expect(raceway?.made).toBeCloseTo(13.36);
  expect(madeRows(answer.wiring.made).map(({ id, length }) => [id, Math.round(100 * length)])).toEqual([
    ["raceway g-east", 426],
    ["raceway g-south", 910],
  ]);
});

test("power follows the fewest wired links from its supply", () => {
  expect(wiredPath(design, "switch", "ap-1")).toEqual(["l2"]);
  expect(wiredPath(design, "router", "ap-1")).toEqual(["l1", "l2"]);
  expect(wiredPath(design, "switch", "nowhere")).toEqual([]);
  expect(fedLines(answer).map(({ fed, links }) => [fed.part, links])).toEqual([
    ["ap-1", ["l2"]],
    ["ap-2", ["l3"]],
  ]);
  expect(poweredPorts(answer, "switch")).toEqual({ all: 4, taken: 2, class: 4 });
});

test("the tightest supply is the one with least in hand at worst; an unknown one does not count", () => {
  const [supply] = answer.wires.supplies;
  if (!supply) throw new Error("there is a supply");
  const other = (id: string, low: number | null) => ({
    ...supply,
    supply: id,
    margin: { ...supply.margin, value: low === null ? null : 30, low },
  });
  expect(tightest([supply, other("b", 2), other("c", null)])?.supply).toBe("b");
  expect(tightest([other("c", null)])).toBeNull();
});

test("findings of cables are on the cabling sheet, those about power on the power sheet too", () => {
  const finding = (rule: string): Finding => ({
    rule,
    severity: "risk",
    subjects: ["l3"],
    message: rule,
    measured: null,
    limit: null,
    source: { kind: "model", cite: "x" },
    remedies: [],
  });
  const rules = [
    "cabling.loop",
    "cabling.poe-voltage",
    "cabling.bundle-heat",
    "resilience.runtime-short",
    "resilience.single-point",
    "cost.tax-not-included",
  ];
  const notes = keynotesOf(rules.map(finding), null, design);
  const on = (sheet: "cabling" | "power") =>
    notes.filter((note) => isOnSheet(note, sheet)).map(({ finding: { rule } }) => rule);
  expect(on("cabling")).toEqual(rules.slice(0, 3));
  expect(on("power")).toEqual(rules.slice(1, 4));
});
