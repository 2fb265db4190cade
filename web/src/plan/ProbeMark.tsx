// The probe on the drawing: a cross where it is, and the paths from the part that serves it. A path's weight is its share
// of the power. Rings are where the strongest path, or the chosen one, loses level in something; diamonds where a path is
// mirrored; triangles where it goes round an edge.

import { screenFromPlan, type View } from "../geometry/view.ts";
import type { Probe, Storey } from "./contract.ts";
import { diamond, triangle } from "./PathGlyph.tsx";
import { type DrawnPath, drawnPaths, lossesOn, type Piece, piecesOf, turnsOn } from "./paths.ts";

type Point = readonly [number, number];

/** How far lines keep off the part's symbol and the cross [px]. */
const OFF_PART = 11;
const OFF_CROSS = 6;

interface ProbeMarkProps {
  probe: Probe;
  storey: Storey;
  view: View;
  /** The path that is pointed out among the probe's, if any. */
  chosen: number | null;
}

export function ProbeMark({ probe, storey, view, chosen }: ProbeMarkProps) {
  const [x, y] = screenFromPlan(view, probe.at);
  const paths = drawnPaths(probe, chosen);
  const most = Math.max(...paths.map((path) => path.share), 0);
  return (
    <g>
      {paths.map((drawn) => (
        <Path
          key={drawn.index}
          drawn={drawn}
          weight={most > 0 ? Math.sqrt(drawn.share / most) : 0}
          isChosen={drawn.index === chosen}
          isQuiet={chosen !== null && drawn.index !== chosen}
          storey={storey}
          view={view}
        />
      ))}
      <path
        className="plan-cross"
        d={`M${x - 12},${y}H${x - 4}M${x + 4},${y}H${x + 12}M${x},${y - 12}V${y - 4}M${x},${y + 4}V${y + 12}`}
      />
      <circle className="plan-cross" cx={x} cy={y} r="4" />
    </g>
  );
}

interface PathProps {
  drawn: DrawnPath;
  /** 0 to 1, by its share of the power. */
  weight: number;
  isChosen: boolean;
  /** Another path is pointed out. */
  isQuiet: boolean;
  storey: Storey;
  view: View;
}

function Path({ drawn, weight, isChosen, isQuiet, storey, view }: PathProps) {
  const { path, index } = drawn;
  const isMarked = isChosen || (index === 0 && !isQuiet);
  const pieces = shortened(
    piecesOf(path.points, storey).map(({ points, isHere }) => ({
      points: [screenFromPlan(view, points[0]), screenFromPlan(view, points[1])],
      isHere,
    })),
  );
  const here = pathOf(pieces.filter(({ isHere }) => isHere));
  const elsewhere = pathOf(pieces.filter(({ isHere }) => !isHere));
  const place = (at: readonly [number, number, number]): Point => screenFromPlan(view, [at[0], at[1]]);
  const opacity = isChosen ? 1 : isQuiet ? 0.2 : 0.3 + 0.7 * weight;
  const width = isChosen ? 2 : 0.7 + 0.5 * weight;
  return (
    <g opacity={opacity} data-path={index}>
      {isMarked && <path className="plan-ray-ground" d={here + elsewhere} />}
      {here !== "" && <path className="plan-ray" strokeWidth={width} d={here} />}
      {elsewhere !== "" && (
        <path className="plan-ray" strokeWidth={width} strokeDasharray="2 4" d={elsewhere} />
      )}
      {isMarked &&
        lossesOn(path, storey).map(({ element, at }) => {
          const [x, y] = place(at);
          return <circle key={`${element} ${x} ${y}`} className="plan-ray-mark" cx={x} cy={y} r="4" />;
        })}
      {turnsOn(path, storey).map(({ kind, element, at }) => (
        <path
          key={`${element} ${at.join(" ")}`}
          className={kind === "reflection" ? "plan-ray-mark" : "plan-ray-edge"}
          d={kind === "reflection" ? diamond(place(at)) : triangle(place(at))}
        />
      ))}
    </g>
  );
}

const pathOf = (pieces: readonly Piece[]): string =>
  pieces.map(({ points: [a, b] }) => `M${a[0]},${a[1]}L${b[0]},${b[1]}`).join("");

/** Pieces that keep off what stands at both ends. */
function shortened(pieces: readonly Piece[]): Piece[] {
  const cut = (list: readonly Piece[], off: number): Piece[] => {
    let left = off;
    return list.flatMap(({ points: [a, b], isHere }) => {
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (length <= left) {
        left -= length;
        return [];
      }
      const t = left / length;
      left = 0;
      return [{ points: [[a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t], b] as const, isHere }];
    });
  };
  const turned = (list: readonly Piece[]): Piece[] =>
    list.map(({ points: [a, b], isHere }) => ({ points: [b, a] as const, isHere })).reverse();
  return turned(cut(turned(cut(pieces, OFF_PART)), OFF_CROSS));
}
