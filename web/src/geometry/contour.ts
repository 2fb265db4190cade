// Contours of a grid, in metres. The marching is d3-contour's, with linear interpolation along the grid's edges. In its
// coordinates the value of column i is at i + ½, which is where a cell's value belongs, so metres are
// `origin + coordinate · cell` with no further half cell.

import { contours } from "d3-contour";
import type { Grid } from "./field.ts";
import type { Ring } from "./polygon.ts";

/** The area where a field is at or above a level: outlines with their holes [m]. */
export type Area = Ring[][];

/** The area of a grid at or above a level; whole to the grid's edge. Expects a grid without gaps. */
export function areaAbove(grid: Grid, level: number): Area {
  const { origin, cell } = grid;
  const maker = contours().size([grid.columns, grid.rows]).smooth(true);
  // The typings ask for an array of numbers; any indexed list will do.
  const shape = maker.contour(grid.values as unknown as number[], level);
  return shape.coordinates.map((polygon) =>
    polygon.map((ring) =>
      // Rings come closed; ours are open.
      ring
        .slice(0, -1)
        .map(([x = 0, y = 0]): [number, number] => [origin[0] + x * cell, origin[1] + y * cell]),
    ),
  );
}

/** The lines of an area's edge, closed (the first point is the last again), without what lies on the grid's own edge. */
export function edgeLines(grid: Grid, area: Area): Ring[] {
  const minX = grid.origin[0] + grid.cell / 2;
  const minY = grid.origin[1] + grid.cell / 2;
  const maxX = grid.origin[0] + (grid.columns - 0.5) * grid.cell;
  const maxY = grid.origin[1] + (grid.rows - 0.5) * grid.cell;
  const eps = grid.cell * 1e-9;
  const inner = ([x, y]: readonly [number, number]): boolean =>
    x > minX - eps && x < maxX + eps && y > minY - eps && y < maxY + eps;
  const lines: Ring[] = [];
  for (const ring of area.flat()) {
    const start = ring.findIndex((p) => !inner(p));
    if (start < 0) {
      const first = ring[0];
      if (first) lines.push([...ring, first]);
      continue;
    }
    // Begin outside, so that no line is torn where the ring happens to start.
    let open: (readonly [number, number])[] = [];
    for (let i = 1; i <= ring.length; i++) {
      const p = ring[(start + i) % ring.length];
      if (p && inner(p)) {
        open.push(p);
        continue;
      }
      if (open.length > 1) lines.push(open);
      open = [];
    }
  }
  return lines;
}
