// The lines of doors, windows and openings in plan [m].

import { inArea, type Ring, rayLength } from "./polygon.ts";

type Point = readonly [number, number];

/** The frame of an opening: along the wall from `from`, and across it. */
export interface Frame {
  readonly from: Point;
  readonly along: Point;
  readonly across: Point;
  readonly width: number;
  readonly half: number;
}

export function frameOf(from: Point, to: Point, thickness: number): Frame {
  const width = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const along: Point = width > 0 ? [(to[0] - from[0]) / width, (to[1] - from[1]) / width] : [1, 0];
  return { from, along, across: [-along[1], along[0]], width, half: thickness / 2 };
}

/** The point `u` metres along an opening and `v` across it. */
export const inFrame = (frame: Frame, u: number, v: number): Point => [
  frame.from[0] + frame.along[0] * u + frame.across[0] * v,
  frame.from[1] + frame.along[1] * u + frame.across[1] * v,
];

/** The hole that an opening makes in its wall. */
export const reveal = (frame: Frame, over = 0): Point[] => [
  inFrame(frame, 0, -frame.half - over),
  inFrame(frame, frame.width, -frame.half - over),
  inFrame(frame, frame.width, frame.half + over),
  inFrame(frame, 0, frame.half + over),
];

/** What a door looks like: hung leaves, or panels that slide. */
export interface DoorLeaf {
  /** Where it is hung and where its edge is when it stands open. */
  readonly hinge: Point;
  readonly open: Point;
  /** Where its edge is when it is shut. */
  readonly shut: Point;
  readonly radius: number;
  /** True if the arc from `open` to `shut` runs counter-clockwise in plan. */
  readonly counterClockwise: boolean;
}

export interface Door {
  readonly leaves: readonly DoorLeaf[];
  readonly panels: readonly (readonly Point[])[];
}

/** A place that a door may swing into. */
export interface SwingRoom {
  readonly outline: Ring;
  readonly holes: readonly Ring[];
  readonly use: string | null;
}

/** Widest single leaf, and widest pair of leaves; above it panels slide (common practice, no source) [m]. */
const SINGLE = 1.25;
const PAIR = 1.95;
/** Thickness of a drawn sliding panel [m]. */
const PANEL = 0.05;

/**
 * A door's leaves. The job does not say how a door is hung, so custom decides: it opens into the room it serves rather
 * than into a hall or outdoors, and is hung on the side of the nearer corner, so that it opens against the wall.
 */
export function doorOf(frame: Frame, rooms: readonly SwingRoom[]): Door {
  if (frame.width > PAIR) return { leaves: [], panels: slidingPanels(frame) };
  const side = swingSide(frame, rooms);
  const sign = side.sign;
  const face = sign * frame.half;
  const leaf = (hingeAt: number, width: number, direction: 1 | -1): DoorLeaf => {
    const hinge = inFrame(frame, hingeAt, face);
    return {
      hinge,
      open: inFrame(frame, hingeAt, face + sign * width),
      shut: inFrame(frame, hingeAt + direction * width, face),
      radius: width,
      counterClockwise: sign * direction < 0,
    };
  };
  if (frame.width > SINGLE) {
    return { leaves: [leaf(0, frame.width / 2, 1), leaf(frame.width, frame.width / 2, -1)], panels: [] };
  }
  return {
    leaves: [cornerIsAtStart(frame, side) ? leaf(0, frame.width, 1) : leaf(frame.width, frame.width, -1)],
    panels: [],
  };
}

interface Side {
  readonly sign: 1 | -1;
  readonly room: SwingRoom | undefined;
}

function swingSide(frame: Frame, rooms: readonly SwingRoom[]): Side {
  const look = (sign: 1 | -1): Side => {
    const p = inFrame(frame, frame.width / 2, sign * (frame.half + 0.3));
    return { sign, room: rooms.find((room) => inArea(p, room.outline, room.holes)) };
  };
  const left = look(1);
  const right = look(-1);
  const rank = ({ room }: Side): number => (room ? (isPassage(room.use) ? 1 : 2) : 0);
  return rank(right) > rank(left) ? right : left;
}

const isPassage = (use: string | null): boolean =>
  use === "hall" || use === "landing" || use === "stairs" || use === "corridor";

function cornerIsAtStart(frame: Frame, { sign, room }: Side): boolean {
  if (!room) return true;
  const rings = [room.outline, ...room.holes];
  const back: Point = [-frame.along[0], -frame.along[1]];
  const v = sign * (frame.half + 0.15);
  return (
    rayLength(inFrame(frame, 0, v), back, rings) <=
    rayLength(inFrame(frame, frame.width, v), frame.along, rings)
  );
}

function slidingPanels(frame: Frame): Point[][] {
  const lap = Math.min(0.08, frame.width / 10);
  const panel = (u0: number, u1: number, v: number): Point[] => [
    inFrame(frame, u0, v - PANEL / 2),
    inFrame(frame, u1, v - PANEL / 2),
    inFrame(frame, u1, v + PANEL / 2),
    inFrame(frame, u0, v + PANEL / 2),
  ];
  const middle = frame.width / 2;
  return [panel(0, middle + lap, -PANEL / 2), panel(middle - lap, frame.width, PANEL / 2)];
}
