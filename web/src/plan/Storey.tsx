// The building of one storey, in metres: what is cut, what is seen and what is light. It knows no scale; the caller turns
// it into pixels and lines keep their weight. Redrawn only when the house changes.

import { memo, useMemo } from "react";
import { type Door, doorOf, type Frame, frameOf, inFrame, reveal } from "../geometry/opening.ts";
import { areaPath, linePath, linesPath, ringPath } from "../geometry/path.ts";
import { stairLines } from "../geometry/stair.ts";
import type { House, Opening, Stair, Storey as StoreyData } from "./contract.ts";

/** Height at which the plan is cut [m]; an opening above it is seen in the wall, not through it. */
const CUT = 1.2;

interface FloorProps {
  house: House;
  storey: StoreyData;
}

interface StoreyProps extends FloorProps {
  /** Id of the pattern of party walls. */
  partyPattern: string;
}

export const RoomFloors = memo(function RoomFloors({ storey }: { storey: StoreyData }) {
  const d = useMemo(
    () => storey.rooms.map((room) => areaPath([room.outline, ...room.holes])).join(""),
    [storey],
  );
  return <path className="plan-room" fillRule="evenodd" d={d} />;
});

/** What lies below the cut and is seen: stairs, fixed objects. */
const Seen = memo(function Seen({ house, storey }: FloorProps) {
  const stairs = useMemo(
    () => storey.stairs.flatMap((stair) => stairOf(house, storey, stair) ?? []),
    [house, storey],
  );
  return (
    <>
      {stairs.map(({ id, outline, lines }) => (
        <g key={id}>
          <path className="plan-fine" d={ringPath(outline)} />
          <path className="plan-fine" d={linesPath(lines.treads)} />
          <path className="plan-hidden" d={linesPath(lines.hidden)} />
          <path className="plan-seen" d={linePath(lines.cut)} />
          <path className="plan-seen" d={linePath(lines.walk)} />
        </g>
      ))}
      {storey.objects.map((object) => (
        <path key={object.id} className="plan-object" d={ringPath(object.outline)} />
      ))}
    </>
  );
});

/** What is drawn on the floor when the walls stand up: all but what is cut. */
export const FloorLines = memo(function FloorLines({ house, storey }: FloorProps) {
  return (
    <>
      <Seen house={house} storey={storey} />
      {storey.openings
        .filter((opening) => opening.kind !== "window")
        .map((opening) => (
          <OpeningLines key={opening.id} opening={opening} storey={storey} />
        ))}
    </>
  );
});

export const StoreyLines = memo(function StoreyLines({ house, storey, partyPattern }: StoreyProps) {
  const cut = useMemo(() => {
    const solids = (party: boolean): string =>
      storey.walls
        .filter((wall) => (wall.kind === "party") === party)
        .map((wall) => areaPath(wall.solids))
        .join("");
    return { own: solids(false), party: solids(true) };
  }, [storey]);
  return (
    <>
      <Seen house={house} storey={storey} />
      <path className="plan-wall" d={cut.own} />
      {/* Party walls over the others: a wall that ends in one runs on to its middle. */}
      {cut.party !== "" && (
        <>
          <path className="plan-party-ground" d={cut.party} />
          <path className="plan-wall-party" fill={`url(#${partyPattern})`} d={cut.party} />
        </>
      )}
      {storey.openings.map((opening) => (
        <OpeningLines key={opening.id} opening={opening} storey={storey} />
      ))}
    </>
  );
});

function OpeningLines({ opening, storey }: { opening: Opening; storey: StoreyData }) {
  const frame = frameOf(opening.from, opening.to, opening.thickness_m);
  // What lies below the cut belongs to a part of the storey with a lower floor, and is seen like any other.
  if (opening.kind === "window" && opening.sill_m >= CUT) {
    return <path className="plan-high" d={linesPath(across(frame, [-0.12, 0.12]))} />;
  }
  if (opening.kind === "window") {
    return (
      <>
        <path className="plan-reveal" d={ringPath(reveal(frame, 0.005))} />
        <path
          className="plan-seen"
          d={linesPath([...across(frame, [-frame.half, 0, frame.half]), ...jambs(frame)])}
        />
      </>
    );
  }
  const door: Door = opening.kind === "door" ? doorOf(frame, storey.rooms) : { leaves: [], panels: [] };
  return (
    <>
      <path className="plan-reveal" d={ringPath(reveal(frame, 0.005))} />
      {opening.kind === "door" && (
        <path className="plan-light" d={linesPath(across(frame, [-frame.half, frame.half]))} />
      )}
      {opening.kind === "gap" && (
        <path className="plan-hidden" d={linesPath(across(frame, [-frame.half, frame.half]))} />
      )}
      {door.panels.map((panel) => (
        <path key={ringPath(panel)} className="plan-panel" d={ringPath(panel)} />
      ))}
      {door.leaves.map((leaf) => (
        <g key={linePath([leaf.hinge])}>
          <path
            className="plan-fine"
            // Plan y is up, so what is counter-clockwise in plan has sweep 1 before the drawing is turned over.
            d={`${linePath([leaf.open])}A${leaf.radius},${leaf.radius} 0 0 ${leaf.counterClockwise ? 1 : 0} ${leaf.shut[0]},${leaf.shut[1]}`}
          />
          <path className="plan-leaf" d={linePath([leaf.hinge, leaf.open])} />
        </g>
      ))}
    </>
  );
}

const across = (frame: Frame, offsets: readonly number[]) =>
  offsets.map((v) => [inFrame(frame, 0, v), inFrame(frame, frame.width, v)]);

const jambs = (frame: Frame) =>
  [0, frame.width].map((u) => [inFrame(frame, u, -frame.half), inFrame(frame, u, frame.half)]);

/** A stair's lines on a storey; the same flight direction on both storeys that it joins. */
export function stairOf(house: House, storey: StoreyData, stair: Stair) {
  const foot = house.storeys.find((s) => s.id === stair.from) ?? storey;
  const around = foot.rooms.flatMap((room) => [room.outline, ...room.holes]);
  const upward = stair.from === storey.id;
  const lines = stairLines(stair.outline, around, upward);
  return lines ? { id: stair.id, outline: stair.outline, lines, upward } : null;
}
