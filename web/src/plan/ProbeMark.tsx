// The probe on the drawing: a cross where it is, and the straight path from the part that serves it, with a ring at
// every element that the path's legs name.

import type { Size } from "../geometry/brand.ts";
import { crossingsOf, passage } from "../geometry/crossing.ts";
import { screenFromPlan, type View } from "../geometry/view.ts";
import type { Design, Probe, Storey } from "./contract.ts";

type Point = readonly [number, number];

interface ProbeMarkProps {
  probe: Probe;
  storey: Storey;
  design?: Design | undefined;
  view: View;
  size: Size;
}

export function ProbeMark({ probe, storey, design, view }: ProbeMarkProps) {
  const [x, y] = screenFromPlan(view, probe.at);
  const part = design?.parts.find((p) => p.id === probe.part);
  const from: Point | null = part ? [part.at[0], part.at[1]] : null;
  const onThis = part ? part.at[2] >= storey.floor_z - 0.01 && part.at[2] <= storey.ceiling_z + 0.01 : false;
  return (
    <g>
      {from && <Path from={from} to={probe.at} onThis={onThis} probe={probe} storey={storey} view={view} />}
      <path
        className="plan-cross"
        d={`M${x - 12},${y}H${x - 4}M${x + 4},${y}H${x + 12}M${x},${y - 12}V${y - 4}M${x},${y + 4}V${y + 12}`}
      />
      <circle className="plan-cross" cx={x} cy={y} r="4" />
    </g>
  );
}

interface PathProps {
  from: Point;
  to: Point;
  onThis: boolean;
  probe: Probe;
  storey: Storey;
  view: View;
}

function Path({ from, to, onThis, probe, storey, view }: PathProps) {
  const a = screenFromPlan(view, from);
  const b = screenFromPlan(view, to);
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (length < 18) return null;
  const u: Point = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  // The line keeps off the part's symbol and the cross.
  const start: Point = [a[0] + u[0] * 11, a[1] + u[1] * 11];
  const end: Point = [b[0] - u[0] * 6, b[1] - u[1] * 6];
  const ticks = probe.legs.flatMap((leg) => {
    const at = leg.element === null ? null : crossingPoint(from, to, leg.element, storey);
    return at ? [{ element: leg.element, at: screenFromPlan(view, at) }] : [];
  });
  const way = `M${start[0]},${start[1]}L${end[0]},${end[1]}`;
  return (
    <>
      <path className="plan-ray-ground" d={way} />
      <path className="plan-ray" strokeDasharray={onThis ? undefined : "2 4"} d={way} />
      {ticks.map(({ element, at }) => (
        <circle key={`${element} ${at[0]}`} className="plan-ray-tick" cx={at[0]} cy={at[1]} r="4" />
      ))}
    </>
  );
}

/** Where a straight path meets a wall or an opening of the storey; null if it does not. */
export function crossingPoint(from: Point, to: Point, element: string, storey: Storey): Point | null {
  const wall = storey.walls.find((w) => w.id === element);
  if (wall) return passage(from, to, wall.solids);
  const opening = storey.openings.find((o) => o.id === element);
  if (opening) {
    const [t] = crossingsOf(from, to, [opening.from, opening.to], false);
    return t === undefined ? null : [from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t];
  }
  const object = storey.objects.find((o) => o.id === element);
  return object ? passage(from, to, [object.outline]) : null;
}
