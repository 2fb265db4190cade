import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { areaAbove, edgeLines } from "./contour.ts";
import { extended, type Grid, generalised, refined, roomGrid, steepness } from "./field.ts";
import { boxOf, clipLine, distanceToSegment, pointOf, type Ring, signedArea } from "./polygon.ts";

interface Case {
  name: string;
  rows: number;
  columns: number;
  cell: number;
  origin: [number, number];
  values: number[];
  contours: { level: number; lines: [number, number][][] }[];
}

const data = JSON.parse(readFileSync("src/geometry/testdata/contours.json", "utf8")) as { cases: Case[] };

/** The longest way from a vertex of one set of lines to the other set (Hausdorff, one direction). */
function farthest(from: readonly Ring[], to: readonly Ring[]): number {
  let most = 0;
  for (const line of from) {
    for (const p of line) {
      let nearest = Infinity;
      for (const other of to) {
        for (let i = 0; i + 1 < other.length; i++) {
          nearest = Math.min(nearest, distanceToSegment(p, pointOf(other, i), pointOf(other, i + 1)));
        }
      }
      most = Math.max(most, nearest);
    }
  }
  return most;
}

const lengthOf = (lines: readonly Ring[]): number =>
  lines.reduce(
    (sum, line) =>
      sum +
      line
        .slice(1)
        .reduce((s, [x, y], i) => s + Math.hypot(x - pointOf(line, i)[0], y - pointOf(line, i)[1]), 0),
    0,
  );

function sample(
  rows: number,
  columns: number,
  cell: number,
  origin: [number, number],
  f: (x: number, y: number) => number,
): Grid {
  const values = new Float64Array(rows * columns);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      values[row * columns + column] = f(origin[0] + (column + 0.5) * cell, origin[1] + (row + 0.5) * cell);
    }
  }
  return { origin, cell, rows, columns, values };
}

const areaOf = (area: readonly (readonly Ring[])[]): number =>
  area.reduce((sum, [outer, ...holes]) => {
    const own = outer ? Math.abs(signedArea(outer)) : 0;
    return sum + own - holes.reduce((s, hole) => s + Math.abs(signedArea(hole)), 0);
  }, 0);

describe("isolines against contourpy 1.3.3 on the same grid", () => {
  for (const { name, rows, columns, cell, origin, values, contours } of data.cases) {
    it.each(contours.map((c) => [c.level, c.lines] as const))(`${name} at %f`, (level, lines) => {
      const grid: Grid = { origin, cell, rows, columns, values: Float64Array.from(values) };
      const ours = edgeLines(grid, areaAbove(grid, level));
      expect(lines.length).toBeGreaterThan(0);
      // Both interpolate linearly along the grid's edges, so they agree to rounding; asked for is a micrometre.
      expect(farthest(ours, lines)).toBeLessThan(1e-6);
      expect(farthest(lines, ours)).toBeLessThan(1e-6);
      expect(lengthOf(ours)).toBeCloseTo(lengthOf(lines), 6);
    });
  }
});

describe("a cell's value belongs to its centre", () => {
  it("puts the isoline of x where x is", () => {
    const grid = sample(6, 8, 0.5, [2, 3], (x) => x);
    const points = edgeLines(grid, areaAbove(grid, 4.1)).flat();
    expect(points.length).toBeGreaterThan(3);
    for (const [x] of points) expect(x).toBeCloseTo(4.1, 12);
  });

  it("keeps it there when the grid is refined", () => {
    const fine = refined(sample(6, 8, 0.5, [2, 3], (x, y) => x - 2 * y));
    expect(fine.cell).toBeCloseTo(0.5 / 3, 12);
    const line = edgeLines(fine, areaAbove(fine, -5.3)).flat();
    // Up to the second centre from the edge there is no fourth neighbour to go by; a room's grid has its free cells there.
    const inner = line.filter(([x, y]) => x > 2.75 && x < 5.25 && y > 3.75 && y < 5.25);
    expect(inner.length).toBeGreaterThan(3);
    for (const [x, y] of inner) expect(x - 2 * y).toBeCloseTo(-5.3, 9);
  });

  it("refines through the old values", () => {
    const coarse = sample(5, 7, 0.5, [0, 0], (x, y) => Math.sin(3 * x) + Math.cos(2 * y) * x);
    const fine = refined(coarse);
    for (let row = 0; row < coarse.rows; row++) {
      for (let column = 0; column < coarse.columns; column++) {
        expect(fine.values[(3 * row + 1) * fine.columns + 3 * column + 1]).toBe(
          coarse.values[row * coarse.columns + column],
        );
      }
    }
    // Never beyond what it was made from.
    expect(Math.max(...fine.values)).toBeLessThanOrEqual(Math.max(...coarse.values) + 1e-12);
    expect(Math.min(...fine.values)).toBeGreaterThanOrEqual(Math.min(...coarse.values) - 1e-12);
  });
});

describe("analytic fields", () => {
  it("gives a circle its area and its centre", () => {
    const radius = 2.1;
    const cone = sample(30, 30, 0.25, [-3.1, -4.2], (x, y) => -Math.hypot(x - 0.4, y + 0.55));
    const plain = areaAbove(cone, -radius);
    // Chords of a circle cut off at most cell²/(8 r²) of the radius each: under 0.2 % of the area here.
    expect(areaOf(plain) / (Math.PI * radius ** 2)).toBeCloseTo(1, 2);
    const fine = areaAbove(refined(cone), -radius);
    expect(Math.abs(areaOf(fine) / (Math.PI * radius ** 2) - 1)).toBeLessThan(1e-3);
    const box = boxOf(fine.flat(2));
    expect((box.minX + box.maxX) / 2).toBeCloseTo(0.4, 3);
    expect((box.minY + box.maxY) / 2).toBeCloseTo(-0.55, 3);
    for (const [x, y] of fine.flat(2))
      expect(Math.abs(Math.hypot(x - 0.4, y + 0.55) - radius)).toBeLessThan(0.005);
  });

  it("leaves a hole where a field dips", () => {
    const bowl = sample(20, 20, 0.25, [0, 0], (x, y) => Math.hypot(x - 2.5, y - 2.5));
    const [polygon] = areaAbove(bowl, 1);
    expect(polygon).toHaveLength(2);
    expect(areaOf(areaAbove(bowl, 1))).toBeLessThan(25 - Math.PI + 0.1);
  });
});

describe("a room's field up to its walls", () => {
  // A room 3 m by 2 m in a map of quarter metres, with another room's values beyond its walls.
  const outline: Ring = [
    [1.1, 0.9],
    [4.1, 0.9],
    [4.1, 2.9],
    [1.1, 2.9],
  ];
  const f = (x: number, y: number): number => -50 - 4 * x + 2.5 * y;
  const rows = 16;
  const columns = 22;
  const room: (number | null)[] = [];
  const values: (number | null)[] = [];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const x = (column + 0.5) * 0.25;
      const y = (row + 0.5) * 0.25;
      const isIn = x > 1.1 && x < 4.1 && y > 0.9 && y < 2.9;
      room.push(isIn ? 1 : 0);
      values.push(isIn ? f(x, y) : -90);
    }
  }
  const map = { origin: [0, 0] as const, cell: 0.25, rows, columns, room };

  it("keeps a linear field linear to the outline, whatever is beyond", () => {
    const grid = roomGrid(map, values, 1);
    const field = grid && extended(grid);
    if (!field) throw new Error("no field");
    const level = f(2.7, 1.9);
    for (const ready of [field, refined(field)]) {
      const lines = edgeLines(ready, areaAbove(ready, level)).flatMap((line) => clipLine(line, outline));
      expect(lines).toHaveLength(1);
      const ends = lines.flatMap((line) => [pointOf(line, 0), pointOf(line, -1)]);
      for (const [x, y] of lines.flat()) expect(f(x, y)).toBeCloseTo(level, 6);
      // Both ends are on the walls.
      for (const [x, y] of ends) {
        const off = Math.min(Math.abs(x - 1.1), Math.abs(x - 4.1), Math.abs(y - 0.9), Math.abs(y - 2.9));
        expect(off).toBeLessThan(1e-9);
      }
    }
  });

  it("has nothing of a room that the map does not show, or that has no value", () => {
    expect(roomGrid(map, values, 7)).toBeNull();
    const empty = roomGrid(
      map,
      values.map(() => null),
      1,
    );
    expect(empty && extended(empty)).toBeNull();
  });

  it("fills cells inside the room where nothing arrives, for the contours only", () => {
    const holed = values.map((value, i) => (i === 7 * columns + 9 ? null : value));
    const grid = roomGrid(map, holed, 1);
    const field = grid && extended(grid);
    expect(grid && Number.isNaN(Math.max(...grid.values))).toBe(true);
    expect(field?.values.every((value) => Number.isFinite(value))).toBe(true);
    const x = 9.5 * 0.25;
    const y = 7.5 * 0.25;
    const column = Math.round((x - (field?.origin[0] ?? 0)) / 0.25 - 0.5);
    const row = Math.round((y - (field?.origin[1] ?? 0)) / 0.25 - 0.5);
    expect(field?.values[row * (field?.columns ?? 0) + column]).toBeCloseTo(f(x, y), 9);
  });
});

describe("a generalised field", () => {
  it("leaves a linear field and its sum as they are", () => {
    const plane = sample(7, 9, 0.25, [1, 2], (x, y) => 3 * x - 2 * y);
    generalised(plane).values.forEach((value, i) => {
      expect(value).toBeCloseTo(plane.values[i] ?? Number.NaN, 9);
    });
    const spike = sample(7, 9, 1, [0, 0], (x, y) => (x === 4.5 && y === 3.5 ? 16 : 0));
    const soft = generalised(spike);
    expect(soft.values[3 * 9 + 4]).toBe(4);
    expect(soft.values[3 * 9 + 5]).toBe(2);
    expect(soft.values[4 * 9 + 5]).toBe(1);
    expect(soft.values.reduce((sum, value) => sum + value, 0)).toBeCloseTo(16, 9);
  });

  it("is as steep as it is", () => {
    const plane = sample(7, 9, 0.25, [1, 2], (x, y) => 3 * x - 4 * y);
    expect(steepness(plane, [2, 3])).toBeCloseTo(5, 9);
    // Beyond the centres the nearest four count.
    expect(steepness(plane, [0, 0])).toBeCloseTo(5, 9);
  });
});
