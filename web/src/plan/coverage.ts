// A map as drawn: for each room its bands of tint, its lines, what is below target and where nothing arrives. In metres;
// the view has no part in it, so zooming recomputes nothing.

import { areaAbove, edgeLines } from "../geometry/contour.ts";
import { extended, type Grid, generalised, refined, roomGrid, steepness } from "../geometry/field.ts";
import { trimmed } from "../geometry/format.ts";
import { areaPath } from "../geometry/path.ts";
import { clipLine, type Ring, runsWhere, simplified, withoutCells } from "../geometry/polygon.ts";
import type { CoverageMap, Room, Storey } from "./contract.ts";

/** Number of tints that the style sheet defines. */
export const TINTS = 16;
/** Cells are refined until they are at most this wide [m]. */
const FINE = 0.15;
/** Points that move a line by less are left out [m]. */
const TOLERANCE = 0.003;
/** Thin lines that are closer together than this are left out [m]. */
const CLOSEST = 0.06;
/** Thin lines shorter than this many cells, and target lines shorter than so many metres, are left out: they are dots. */
const SHORTEST_CELLS = 3;
const SHORTEST_TARGET = 0.35;

export interface Isoline {
  readonly id: string;
  readonly level: number;
  readonly points: Ring;
  readonly isTarget: boolean;
}

export interface RoomCoverage {
  readonly room: Room;
  /** Tint below the lowest level; null if the room has no value at all. */
  readonly floor: number | null;
  readonly bands: readonly { readonly d: string; readonly tint: number }[];
  readonly lines: readonly Isoline[];
  /** What does not reach the target; fill even-odd. */
  readonly below: string | null;
  /** Cells where nothing arrives. */
  readonly none: string | null;
  readonly numNone: number;
}

/** Tint of a band; band `i` lies below level `i`, the last one above all levels. */
export const tintOf = (band: number, numLevels: number): number =>
  numLevels === 0 ? 0 : Math.round((band / numLevels) * (TINTS - 1));

/** The first and last band that a map's values lie in; null if it has none. */
export function bandsIn(map: CoverageMap, levels: readonly number[]): [number, number] | null {
  let least = Infinity;
  let most = -Infinity;
  for (const value of map.values) {
    if (value === null) continue;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  if (least > most) return null;
  return [levels.filter((level) => level <= least).length, levels.filter((level) => level <= most).length];
}

/** A level as a label. */
export const levelText = (level: number): string => trimmed(level, 1);

/** The drawing of a map on its storey, room by room. */
export function coverageOf(storey: Storey, map: CoverageMap): RoomCoverage[] {
  const levels = [...new Set(map.levels)].sort((a, b) => a - b);
  return storey.rooms.flatMap((room, index) => {
    const drawn = roomCoverage(room, index, map, levels);
    return drawn ? [drawn] : [];
  });
}

function roomCoverage(
  room: Room,
  index: number,
  map: CoverageMap,
  levels: readonly number[],
): RoomCoverage | null {
  const raw = roomGrid(map, map.values, index);
  if (!raw) return null;
  const none = cellsWithout(map, index);
  // Where nothing arrives there is no value to draw a line for.
  const isSilent = (x: number, y: number): boolean => {
    const column = Math.floor((x - map.origin[0]) / map.cell);
    const i = Math.floor((y - map.origin[1]) / map.cell) * map.columns + column;
    return map.room[i] === index && (map.values[i] ?? null) === null;
  };
  const cut = (line: Ring): Ring[] =>
    none.length > 0 ? withoutCells(line, map.origin, map.cell, isSilent) : [line];
  const field = ready(raw, true);
  const bands: { d: string; tint: number }[] = [];
  const lines: Isoline[] = [];
  let floor: number | null = null;
  if (field) {
    const [least, most] = range(field);
    floor = tintOf(levels.filter((level) => level <= least).length, levels.length);
    levels.forEach((level, band) => {
      if (level <= least || level > most) return;
      const area = areaAbove(field, level);
      bands.push({ d: areaPath(area.flat()), tint: tintOf(band + 1, levels.length) });
      // As at a cliff on a map: where the next line would be closer than can be told apart, only the tint steps.
      const step = Math.min(level - (levels[band - 1] ?? -Infinity), (levels[band + 1] ?? Infinity) - level);
      const gentle = (line: Ring): Ring[] =>
        runsWhere(line, (x, y) => step / steepness(field, [x, y]) >= CLOSEST);
      const edges = edgeLines(field, area).flatMap(gentle);
      lines.push(
        ...isolines(`${room.id}:${level}`, level, edges, room, false, SHORTEST_CELLS * map.cell, cut),
      );
    });
  }
  const margin = roomGrid(map, map.margin_db, index);
  const marginField = margin && ready(margin, false);
  let below: string | null = null;
  if (margin && marginField) {
    const whole = gridRing(marginField);
    const [least, most] = range(marginField);
    if (most < 0) below = areaPath([whole]);
    else if (least < 0) {
      const area = areaAbove(marginField, 0);
      const targets = isolines(
        `${room.id}:target`,
        0,
        edgeLines(marginField, area),
        room,
        true,
        SHORTEST_TARGET,
        cut,
      );
      // What is carried beyond the walls may go below where the room itself does not.
      if (targets.length > 0 || margin.values.some((value) => value < 0))
        below = areaPath([whole, ...area.flat()]);
      lines.push(...targets);
    }
  }
  return {
    room,
    floor,
    bands,
    lines,
    below,
    none: none.length > 0 ? areaPath(none) : null,
    numNone: none.length,
  };
}

/** A field that can be contoured. The target's is not generalised: its line says who is served. */
function ready(grid: Grid, isGeneralised: boolean): Grid | null {
  const whole = extended(grid);
  if (!whole) return null;
  const field = isGeneralised ? generalised(whole) : whole;
  return field.cell > FINE ? refined(field) : field;
}

function range(grid: Grid): [number, number] {
  let least = Infinity;
  let most = -Infinity;
  for (const value of grid.values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}

function gridRing({ origin: [x, y], cell, rows, columns }: Grid): Ring {
  const right = x + columns * cell;
  const top = y + rows * cell;
  return [
    [x, y],
    [right, y],
    [right, top],
    [x, top],
  ];
}

function isolines(
  id: string,
  level: number,
  edges: readonly Ring[],
  room: Room,
  isTarget: boolean,
  shortest: number,
  cut: (line: Ring) => Ring[],
): Isoline[] {
  return edges
    .flatMap((edge) => clipLine(edge, room.outline, room.holes))
    .flatMap(cut)
    .filter((line) => lengthOf(line) >= shortest)
    .map((line, i) => ({ id: `${id}:${i}`, level, points: simplified(line, TOLERANCE), isTarget }));
}

export function lengthOf(line: Ring): number {
  let sum = 0;
  for (let i = 0; i + 1 < line.length; i++) {
    const [ax, ay] = line[i] ?? [0, 0];
    const [bx, by] = line[i + 1] ?? [0, 0];
    sum += Math.hypot(bx - ax, by - ay);
  }
  return sum;
}

/** The cells of a room that have no value, as squares. */
function cellsWithout(map: CoverageMap, room: number): Ring[] {
  const squares: Ring[] = [];
  const { cell } = map;
  for (let i = 0; i < map.room.length; i++) {
    if (map.room[i] !== room || (map.values[i] ?? null) !== null) continue;
    const x = map.origin[0] + (i % map.columns) * cell;
    const y = map.origin[1] + Math.floor(i / map.columns) * cell;
    squares.push([
      [x, y],
      [x + cell, y],
      [x + cell, y + cell],
      [x, y + cell],
    ]);
  }
  return squares;
}
