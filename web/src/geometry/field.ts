// The values of one room on a grid of its own. A map's field jumps at walls, so each room is treated alone: its values
// are carried outward past its outline, so that contours reach the walls, and refined between the cells' centres. The
// drawing is then cut to the outline.

import type { PlanPoint } from "./brand.ts";

/** A grid of cells: the value of cell (row, column) belongs to `origin + ((column + ½) cell, (row + ½) cell)`. */
export interface Grid {
  readonly origin: PlanPoint;
  /** Side of a cell [m]. */
  readonly cell: number;
  readonly rows: number;
  readonly columns: number;
  /** Row-major; NaN where there is no value. */
  readonly values: Float64Array;
}

/** What is taken of a map. */
export interface MapLike {
  readonly origin: readonly [number, number];
  readonly cell: number;
  readonly rows: number;
  readonly columns: number;
  readonly room: readonly (number | null)[];
}

/** Cells added around a room, so that its outline is well inside its grid. */
const MARGIN = 2;

/** A room's own values, with free cells around them and where nothing is known. Null if the map has no cell of the room. */
export function roomGrid(map: MapLike, values: readonly (number | null)[], room: number): Grid | null {
  let top = -1;
  let bottom = -1;
  let left = Infinity;
  let right = -1;
  for (let row = 0; row < map.rows; row++) {
    for (let column = 0; column < map.columns; column++) {
      if (map.room[row * map.columns + column] !== room) continue;
      if (bottom < 0) bottom = row;
      top = row;
      if (column < left) left = column;
      if (column > right) right = column;
    }
  }
  if (bottom < 0) return null;
  const rows = top - bottom + 1 + 2 * MARGIN;
  const columns = right - left + 1 + 2 * MARGIN;
  const grid = new Float64Array(rows * columns).fill(Number.NaN);
  for (let row = bottom; row <= top; row++) {
    for (let column = left; column <= right; column++) {
      const index = row * map.columns + column;
      const value = values[index];
      if (map.room[index] !== room || value === null || value === undefined || !Number.isFinite(value))
        continue;
      grid[(row - bottom + MARGIN) * columns + (column - left + MARGIN)] = value;
    }
  }
  return {
    origin: [map.origin[0] + (left - MARGIN) * map.cell, map.origin[1] + (bottom - MARGIN) * map.cell],
    cell: map.cell,
    rows,
    columns,
    values: grid,
  };
}

const DIRECTIONS = [
  [0, 1],
  [1, 0],
  [0, -1],
  [-1, 0],
  [1, 1],
  [1, -1],
  [-1, 1],
  [-1, -1],
] as const;
/** Layers that go on in a straight line; further ones take the mean of what is beside them. */
const STRAIGHT_LAYERS = 2;

/**
 * Fills the cells without a value from those with one, layer by layer outward. The first layers go on in a straight
 * line (`2a − b` from the two cells before), the mean over the directions, so a field that is linear stays linear up to
 * the room's outline. Null if no cell has a value.
 */
export function extended(grid: Grid): Grid | null {
  const { rows, columns } = grid;
  const values = Float64Array.from(grid.values);
  let known = 0;
  for (const value of values) if (!Number.isNaN(value)) known++;
  if (known === 0) return null;
  const valueAt = (row: number, column: number): number =>
    row < 0 || column < 0 || row >= rows || column >= columns
      ? Number.NaN
      : (values[row * columns + column] ?? Number.NaN);
  for (let layer = 1; known < values.length; layer++) {
    const fresh: [number, number][] = [];
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        if (!Number.isNaN(valueAt(row, column))) continue;
        let straight = 0;
        let numStraight = 0;
        let near = 0;
        let numNear = 0;
        for (const [dr, dc] of DIRECTIONS) {
          const a = valueAt(row + dr, column + dc);
          if (Number.isNaN(a)) continue;
          near += a;
          numNear++;
          const b = valueAt(row + 2 * dr, column + 2 * dc);
          if (Number.isNaN(b)) continue;
          straight += 2 * a - b;
          numStraight++;
        }
        if (numNear === 0) continue;
        const useStraight = layer <= STRAIGHT_LAYERS && numStraight > 0;
        fresh.push([row * columns + column, useStraight ? straight / numStraight : near / numNear]);
      }
    }
    if (fresh.length === 0) break;
    for (const [index, value] of fresh) values[index] = value;
    known += fresh.length;
  }
  return { ...grid, values };
}

/**
 * The field generalised by half a cell: each value is the mean of itself and its neighbours with the weights 1, 2, 1 along
 * both axes. It leaves a linear field as it is, and takes the steps off lines that run aslant over cells. Expects a grid
 * without gaps; the outermost cells keep their values.
 */
export function generalised(grid: Grid): Grid {
  const { rows, columns } = grid;
  const pass = (from: Float64Array, stride: number): Float64Array => {
    const to = Float64Array.from(from);
    for (let row = stride === 1 ? 0 : 1; row < (stride === 1 ? rows : rows - 1); row++) {
      for (let column = stride === 1 ? 1 : 0; column < (stride === 1 ? columns - 1 : columns); column++) {
        const i = row * columns + column;
        to[i] = ((from[i - stride] ?? 0) + 2 * (from[i] ?? 0) + (from[i + stride] ?? 0)) / 4;
      }
    }
    return to;
  };
  return { ...grid, values: pass(pass(grid.values, 1), columns) };
}

/** How much the field changes in a metre at a point, from the centres around it. */
export function steepness(grid: Grid, [x, y]: PlanPoint): number {
  const column = Math.min(grid.columns - 2, Math.max(0, Math.floor((x - grid.origin[0]) / grid.cell - 0.5)));
  const row = Math.min(grid.rows - 2, Math.max(0, Math.floor((y - grid.origin[1]) / grid.cell - 0.5)));
  const at = (r: number, c: number): number => grid.values[(row + r) * grid.columns + column + c] ?? 0;
  const dx = (at(0, 1) + at(1, 1) - at(0, 0) - at(1, 0)) / 2;
  const dy = (at(1, 0) + at(1, 1) - at(0, 0) - at(0, 1)) / 2;
  return Math.hypot(dx, dy) / grid.cell;
}

/**
 * The same field on cells of a third of the side, through the same values: every third centre is an old one. Between
 * them a cubic through four neighbours (Catmull and Rom, 1974), held between the two nearest so that it never swings
 * past them. Expects a grid without gaps.
 */
export function refined(grid: Grid): Grid {
  const across = new Float64Array(grid.rows * grid.columns * 3);
  for (let row = 0; row < grid.rows; row++) {
    refineLine(grid.values, row * grid.columns, 1, grid.columns, across, row * grid.columns * 3, 1);
  }
  const columns = grid.columns * 3;
  const values = new Float64Array(grid.rows * 3 * columns);
  for (let column = 0; column < columns; column++) {
    refineLine(across, column, columns, grid.rows, values, column, columns);
  }
  return { origin: grid.origin, cell: grid.cell / 3, rows: grid.rows * 3, columns, values };
}

function refineLine(
  from: Float64Array,
  start: number,
  stride: number,
  count: number,
  to: Float64Array,
  toStart: number,
  toStride: number,
): void {
  const value = (i: number): number => from[start + Math.min(count - 1, Math.max(0, i)) * stride] ?? 0;
  for (let i = 0; i < count; i++) {
    const before = value(i - 1);
    const here = value(i);
    const after = value(i + 1);
    to[toStart + (3 * i + 1) * toStride] = here;
    to[toStart + (3 * i + 2) * toStride] = between(before, here, after, value(i + 2), 1 / 3);
    to[toStart + 3 * i * toStride] = between(after, here, before, value(i - 2), 1 / 3);
  }
}

function between(a: number, b: number, c: number, d: number, t: number): number {
  const cubic = b + (t / 2) * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
  return Math.min(Math.max(b, c), Math.max(Math.min(b, c), cubic));
}
