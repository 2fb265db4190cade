// A part that is on the way: where it was and where it is. How far that is stands under the drawing, where it covers no
// label.

import { screenFromPlan, type View } from "../geometry/view.ts";
import type { Design, P, PlacedPart } from "./contract.ts";
import type { PartKind } from "./parts.ts";
import { PartSymbol } from "./Symbols.tsx";

/** A part elsewhere than the design has it. */
export interface Moved {
  readonly part: string;
  readonly at: P;
  readonly room: string;
  /** It is on the way, and not put down yet. */
  readonly isHeld: boolean;
  /** The map that is shown is not of this place yet. */
  readonly isBehind: boolean;
}

/** The design with the part where it was moved to. */
export function withMoved(design: Design | undefined, moved: Moved | null): Design | undefined {
  if (!design || !moved) return design;
  const parts = design.parts.map((part) =>
    part.id === moved.part
      ? { ...part, room: moved.room, at: [moved.at[0], moved.at[1], part.at[2]] as const }
      : part,
  );
  return { ...design, parts };
}

/** The design without a part, for what stands still while that part is on the way. */
export function withoutPart(design: Design | undefined, part: string): Design | undefined {
  return design && { ...design, parts: design.parts.filter(({ id }) => id !== part) };
}

interface MovingMarkProps {
  /** The part as the design has it. */
  part: PlacedPart;
  kind: PartKind;
  at: P;
  turn: number | undefined;
  view: View;
}

export function MovingMark({ part, kind, at, turn, view }: MovingMarkProps) {
  const [fx, fy] = screenFromPlan(view, [part.at[0], part.at[1]]);
  const [x, y] = screenFromPlan(view, at);
  return (
    <g>
      <path className="plan-hidden" d={`M${fx},${fy}L${x},${y}`} />
      <path className="plan-seen" d={`M${fx - 5},${fy}H${fx + 5}M${fx},${fy - 5}V${fy + 5}`} />
      <PartSymbol kind={kind} x={x} y={y} turn={turn} />
      <circle className="plan-selected" cx={x} cy={y} r="14" />
    </g>
  );
}
