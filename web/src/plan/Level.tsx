// One storey of the stacked view: its floor, and its walls drawn low.

import { memo, useMemo } from "react";
import { axonometry, matrixOf, prism, type Stacked, seen, seenBox } from "../geometry/axonometric.ts";
import type { Box } from "../geometry/brand.ts";
import { frameOf, reveal } from "../geometry/opening.ts";
import { linePath, ringPath } from "../geometry/path.ts";
import { boxOf } from "../geometry/polygon.ts";
import { CoverageAreas, CoverageLines } from "./CoverageLayer.tsx";
import type { House, Storey } from "./contract.ts";
import type { RoomCoverage } from "./coverage.ts";
import { FloorLines, RoomFloors } from "./Storey.tsx";

type Point = readonly [number, number];

/** The view of all plans: turned by 24°, laid back to 0.46 of the depth. */
export const AXO = axonometry(24, 0.46);
/** Height at which plans are cut, and how high walls are drawn here, so that floors stay in sight [m]. */
const CUT = 1.2;
export const UPSTAND = 0.5;
const extents = new WeakMap<Storey, Box>();

/** The box around what is cut on a storey, or around its rooms. */
export function extentOf(storey: Storey): Box {
  const known = extents.get(storey);
  if (known) return known;
  const solids = storey.walls.flatMap((wall) => wall.solids.flat());
  const box = boxOf(solids.length > 0 ? solids : storey.rooms.flatMap((room) => room.outline));
  extents.set(storey, box);
  return box;
}

const cornersOf = ({ minX, minY, maxX, maxY }: Box): Point[] => [
  [minX, minY],
  [maxX, minY],
  [maxX, maxY],
  [minX, maxY],
];

/** Part of a storey's drawn depth by which the next one stands above it: most of it stays in sight. */
const IN_SIGHT = 0.8;
/** Rooms further from the storey above than this stand beside it and need no distance, such as a garden room [m]. */
const BESIDE = 4;

/** How far apart storeys are drawn, so that the one above does not hide what is under it [m]. */
export function distanceApart(storeys: readonly Storey[]): number {
  const sorted = [...storeys].sort((a, b) => a.floor_z - b.floor_z);
  let depth = 0;
  sorted.forEach((storey, i) => {
    const above = sorted[i + 1];
    if (!above) return;
    const over = extentOf(above);
    const under = storey.rooms.filter((room) => {
      const box = boxOf(room.outline);
      const dx = Math.max(over.minX - box.maxX, box.minX - over.maxX, 0);
      const dy = Math.max(over.minY - box.maxY, box.minY - over.maxY, 0);
      return Math.hypot(dx, dy) < BESIDE;
    });
    const { minY, maxY } = seenBox(AXO, boxOf(under.flatMap((room) => room.outline)), 0);
    depth = Math.max(depth, maxY - minY);
  });
  return depth * IN_SIGHT + UPSTAND * AXO.rise;
}

/** Thin lines from the corners of a storey down to the one below, so that it is seen what stands on what. */
export function Uprights({
  storey,
  below,
  to,
}: {
  storey: Storey;
  below: Stacked<Storey> | undefined;
  to: number;
}) {
  if (!below) return null;
  const under = extentOf(below.item);
  const isOver = ([x, y]: Point): boolean =>
    x >= under.minX - 0.5 && x <= under.maxX + 0.5 && y >= under.minY - 0.5 && y <= under.maxY + 0.5;
  return (
    <>
      {cornersOf(extentOf(storey))
        .slice(0, 3)
        .filter(isOver)
        .map((corner) => (
          <path
            key={`${corner}`}
            className="plan-hidden"
            d={linePath([seen(AXO, corner, below.height + UPSTAND * AXO.rise), seen(AXO, corner, to)])}
          />
        ))}
    </>
  );
}

interface LevelBodyProps {
  house: House;
  storey: Storey;
  height: number;
  coverage: readonly RoomCoverage[];
  prefix: string;
  patterns: string;
}

const NO_GAPS: ReadonlyMap<string, readonly [number, number]> = new Map();

/** A storey's floor with what is drawn on it, and its walls up to the cut, the far ones first. */
export const LevelBody = memo(function LevelBody({
  house,
  storey,
  height,
  coverage,
  prefix,
  patterns,
}: LevelBodyProps) {
  const prisms = useMemo(() => {
    const walls = storey.walls.flatMap((wall) =>
      wall.solids.map((solid) => ({
        ...prism(AXO, solid, height, UPSTAND * AXO.rise),
        kind: wall.kind === "party" ? "party" : "wall",
      })),
    );
    const sills = storey.openings
      .filter((opening) => opening.kind === "window" && opening.sill_m > 0.05 && opening.sill_m < CUT)
      .map((opening) => ({
        ...prism(
          AXO,
          reveal(frameOf(opening.from, opening.to, opening.thickness_m)),
          height,
          Math.min(opening.sill_m, UPSTAND) * AXO.rise,
        ),
        kind: "sill",
      }));
    return [...walls, ...sills].sort((a, b) => b.depth - a.depth);
  }, [storey, height]);
  const lines = useMemo(() => coverage.flatMap((room) => room.lines), [coverage]);
  return (
    <>
      <g transform={matrixOf(AXO, height)}>
        <RoomFloors storey={storey} />
        <CoverageAreas coverage={coverage} prefix={prefix} patterns={patterns} />
        <CoverageLines lines={lines} gaps={NO_GAPS} />
        <FloorLines house={house} storey={storey} />
      </g>
      {prisms.map(({ sides, top, kind }) => (
        <g key={ringPath(top)}>
          {sides.map(({ ring, isLeft }) => (
            <path
              key={ringPath(ring)}
              className={isLeft ? "plan-side plan-side-left" : "plan-side"}
              d={ringPath(ring)}
            />
          ))}
          {kind === "party" ? (
            <>
              <path className="plan-party-ground" d={ringPath(top)} />
              <path className="plan-wall-party" fill={`url(#${patterns}-party)`} d={ringPath(top)} />
            </>
          ) : (
            <path className={kind === "sill" ? "plan-side" : "plan-wall"} d={ringPath(top)} />
          )}
        </g>
      ))}
    </>
  );
});
