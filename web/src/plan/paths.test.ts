import { describe, expect, it } from "vitest";
import type { Probe, ProbePath } from "./contract.ts";
import { house, probe } from "./fixture.ts";
import { drawnPaths, legName, metBy, pathName, piecesOf, sharesOf } from "./paths.ts";

const [ground, upper] = house.storeys;
if (!ground || !upper) throw new Error("the made-up home has two storeys");
const [direct, mirrored, bent] = probe.paths as [ProbePath, ProbePath, ProbePath];

const many = (levels: readonly number[], others: Probe["others"] = null): Probe => ({
  ...probe,
  paths: levels.map((level_dbm) => ({ ...direct, level_dbm })),
  others,
});

describe("the paths of a probe", () => {
  it("share the power, those that are not told included", () => {
    // Two equal ones and the rest as strong as both together.
    const [a, b] = sharesOf(many([-60, -60], { count: 9, level_dbm: -60 + 10 * Math.log10(2) }));
    expect(a).toBeCloseTo(0.25, 12);
    expect(b).toBeCloseTo(0.25, 12);
    expect(sharesOf(many([]))).toEqual([]);
  });

  it("are drawn six at most, the strongest last, and any one that is pointed out", () => {
    const nine = many([-60, -61, -62, -63, -64, -65, -66, -67, -68]);
    expect(drawnPaths(nine, null).map((d) => d.index)).toEqual([5, 4, 3, 2, 1, 0]);
    expect(drawnPaths(nine, 8).map((d) => d.index)).toEqual([5, 4, 3, 2, 1, 0, 8]);
    expect(drawnPaths(nine, 2).map((d) => d.index)).toEqual([5, 4, 3, 1, 0, 2]);
    // One that brings next to nothing is left out.
    expect(drawnPaths(many([-60, -90]), null).map((d) => d.index)).toEqual([0]);
  });

  it("are parted where they leave the storey", () => {
    const up = [
      [1, 1, ground.floor_z + 1],
      [5, 1, upper.floor_z + 1],
    ] as const;
    const pieces = piecesOf(up, ground);
    expect(pieces.map((piece) => piece.isHere)).toEqual([true, false]);
    expect(pieces[0]?.points[1]).toEqual(pieces[1]?.points[0]);
    const cut = pieces[0]?.points[1][0] ?? 0;
    const rise = upper.floor_z - ground.floor_z;
    expect(cut).toBeCloseTo(1 + (4 * (ground.ceiling_z + 0.3 - ground.floor_z - 1)) / rise, 9);
    expect(piecesOf(direct.points, ground).map((piece) => piece.isHere)).toEqual([true]);
    expect(piecesOf(direct.points, upper).map((piece) => piece.isHere)).toEqual([false]);
    expect(piecesOf(mirrored.points, ground)).toHaveLength(2);
    expect(piecesOf([], ground)).toEqual([]);
  });

  it("say what they meet in the order in which they do", () => {
    expect(metBy(direct, house).map(({ kind, what, loss_db }) => [kind, what, loss_db])).toEqual([
      ["crossing", "the wall of Living room", 4.4],
    ]);
    expect(metBy(mirrored, house).map(({ kind }) => kind)).toEqual(["crossing", "reflection"]);
    expect(metBy(bent, house).map(({ kind }) => kind)).toEqual(["diffraction", "reflection"]);
    expect(pathName(direct, house)).toBe("direct, 1 crossing");
    expect(pathName({ ...direct, crossings: [] }, house)).toBe("direct");
    // What the plan does not draw is called what it is made of.
    const turn = {
      ...mirrored.turns[0],
      element: "nowhere",
      label: "Made-up panel",
    } as ProbePath["turns"][number];
    expect(pathName({ ...mirrored, turns: [turn] }, house)).toContain("reflected by Made-up panel");
    const [edge] = bent.turns as [ProbePath["turns"][number]];
    const unseen = { ...edge, element: "nowhere", label: "edge of nowhere" };
    expect(pathName({ ...bent, turns: [unseen] }, house)).toBe("round an edge of nowhere");
  });

  it("give the steps of the sum the plan's names", () => {
    const step = {
      label: "round an edge of g-d1, 31° turned",
      value: -9,
      unit: "dB",
      element: "g-d1",
      source: null,
    };
    expect(legName(step, { ...probe, paths: [bent] }, house)).toBe(
      "round an edge of the opening of Living room, 31° turned",
    );
    expect(legName(step, { ...probe, paths: [] }, house)).toBe(step.label);
    const wall = { ...step, label: "Made-up assembly, 31° from square" };
    expect(legName(wall, { ...probe, paths: [bent] }, house)).toBe(wall.label);
  });
});
