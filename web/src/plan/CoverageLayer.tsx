// Tints, lines and hatches of a map, in metres. Only the lines depend on where labels stand: each has a gap for its own.

import { memo, useMemo } from "react";
import { withGap } from "../geometry/along.ts";
import { areaPath, linesPath } from "../geometry/path.ts";
import type { Isoline, RoomCoverage } from "./coverage.ts";

interface AreasProps {
  coverage: readonly RoomCoverage[];
  /** Start of the ids in this drawing. */
  prefix: string;
  /** Start of the ids of the patterns. */
  patterns: string;
}

/** Tints of every room, cut to its outline. */
export const CoverageAreas = memo(function CoverageAreas({ coverage, prefix, patterns }: AreasProps) {
  return (
    <g className="plan-coverage">
      {coverage.map(({ room, floor, bands, below, none }, index) => {
        const outline = areaPath([room.outline, ...room.holes]);
        const clip = `${prefix}-room-${index}`;
        return (
          <g key={room.id}>
            <clipPath id={clip}>
              <path d={outline} clipRule="evenodd" />
            </clipPath>
            <g clipPath={`url(#${clip})`}>
              {floor !== null && <path className={`plan-tint-${floor}`} fillRule="evenodd" d={outline} />}
              {bands.map(({ d, tint }) => (
                <path key={d} className={`plan-tint-${tint}`} fillRule="evenodd" d={d} />
              ))}
              {below !== null && <path fill={`url(#${patterns}-hatch)`} fillRule="evenodd" d={below} />}
              {none !== null && (
                <>
                  <path className="plan-room" d={none} />
                  <path fill={`url(#${patterns}-none)`} d={none} />
                </>
              )}
            </g>
          </g>
        );
      })}
    </g>
  );
});

interface LinesProps {
  lines: readonly Isoline[];
  /** Where each labelled line is open [m along the line]. */
  gaps: ReadonlyMap<string, readonly [number, number]>;
}

/** Isolines in two paths, thin and target, with gaps where labels stand. */
export const CoverageLines = memo(function CoverageLines({ lines, gaps }: LinesProps) {
  const d = useMemo(() => {
    const drawn = (isTarget: boolean): string =>
      linesPath(
        lines
          .filter((line) => line.isTarget === isTarget)
          .flatMap((line) => {
            const gap = gaps.get(line.id);
            return gap ? withGap(line.points, gap[0], gap[1]) : [line.points];
          }),
      );
    return { thin: drawn(false), target: drawn(true) };
  }, [lines, gaps]);
  return (
    <g className="plan-coverage">
      <path className="plan-isoline" d={d.thin} />
      <path className="plan-target" d={d.target} />
    </g>
  );
});
