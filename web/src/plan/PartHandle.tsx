// A selected part can be taken by a handle: dragged, or moved with the arrow keys. It goes from room to room only; in a
// wall it stays where it was last.

import { type KeyboardEvent, type PointerEvent, useEffect, useRef } from "react";
import { inArea } from "../geometry/polygon.ts";
import { planFromScreen, type View } from "../geometry/view.ts";
import type { P, PlacedPart, Storey } from "./contract.ts";
import { partTag } from "./parts.ts";
import type { PartBox } from "./SheetMarks.tsx";
import { words } from "./words.ts";

/** Steps by keys, and with Shift [m]. */
const STEP = 0.1;
const LONG_STEP = 0.5;
/** Steps that are tried until one is past a wall. */
const MOST_STEPS = 12;
/** A press that moves less is a click [px]. */
const SLOP = 3;

const ARROWS: Readonly<Record<string, P>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** Where a part was taken to, and in which room that is. */
export interface PartPlace {
  readonly part: string;
  readonly at: P;
  readonly room: string;
}

/** What is told of a part that is taken. */
export interface PartMoveDoors {
  /** It is on the way; false if it cannot be taken now. */
  readonly onMove: (to: PartPlace) => boolean;
  /** It is let go where it is. */
  readonly onPutDown: () => void;
  /** It is to be where it was. */
  readonly onPutBack: () => void;
}

interface PartHandleProps extends PartMoveDoors {
  part: PlacedPart;
  storey: Storey;
  view: View;
  /** What the handle covers [px]. */
  box: PartBox;
  /** The part is on the way. */
  isHeld: boolean;
  /** A press that moved nothing, at a place of the page. */
  onTap: (event: PointerEvent) => void;
  /** Id of the text that says which keys do what. */
  describedBy: string;
}

/** The room of a storey that a place is in. */
export const roomAt = (storey: Storey, at: P): string | null =>
  storey.rooms.find((room) => inArea(at, room.outline, room.holes))?.id ?? null;

const toCentimetres = (n: number): number => Math.round(n * 100) / 100;

export function PartHandle(props: PartHandleProps) {
  const { part, storey, view, box, isHeld, describedBy, onTap, onMove, onPutDown, onPutBack } = props;
  const drag = useRef<{ from: P; x: number; y: number; hasMoved: boolean } | null>(null);
  const frame = useRef(0);
  const next = useRef<PartPlace | null>(null);
  // Where it was told to be last: keys may come faster than the drawing follows.
  const told = useRef<PartPlace | null>(null);
  useEffect(() => {
    if (!isHeld) told.current = null;
  }, [isHeld]);
  useEffect(() => () => cancelAnimationFrame(frame.current), []);

  const tell = (): void => {
    cancelAnimationFrame(frame.current);
    frame.current = 0;
    if (!next.current) return;
    told.current = onMove(next.current) ? next.current : null;
    next.current = null;
  };
  const isTaken = (): boolean => isHeld || next.current !== null || told.current !== null;
  const putDown = (): void => {
    tell();
    told.current = null;
    onPutDown();
  };
  const takeTo = (at: P): boolean => {
    const to: P = [toCentimetres(at[0]), toCentimetres(at[1])];
    const room = roomAt(storey, to);
    if (room === null) return false;
    next.current = { part: part.id, at: to, room };
    // At most once a frame.
    if (frame.current === 0) frame.current = requestAnimationFrame(tell);
    return true;
  };
  const onPointerDown = (event: PointerEvent<HTMLElement>): void => {
    if (event.button !== 0) return;
    event.stopPropagation();
    event.currentTarget.setPointerCapture(event.pointerId);
    // For Escape; a ring is for those who came with keys.
    event.currentTarget.focus({ focusVisible: false } as FocusOptions);
    // In a list a part is drawn away from its place: it is taken to the pointer. Else it keeps its place under it.
    const frame = event.currentTarget.getBoundingClientRect();
    const under = planFromScreen(view, [
      box.x + event.clientX - frame.left - frame.width / 2,
      box.y + event.clientY - frame.top - frame.height / 2,
    ]);
    const from: P = box.isListed ? under : [part.at[0], part.at[1]];
    drag.current = { from, x: event.clientX, y: event.clientY, hasMoved: false };
  };
  const onPointerMove = (event: PointerEvent): void => {
    const { current } = drag;
    if (!current) return;
    event.stopPropagation();
    const dx = event.clientX - current.x;
    const dy = event.clientY - current.y;
    if (!current.hasMoved && Math.hypot(dx, dy) < SLOP) return;
    current.hasMoved = true;
    takeTo([current.from[0] + dx / view.k, current.from[1] - dy / view.k]);
  };
  const onPointerUp = (event: PointerEvent): void => {
    const { current } = drag;
    if (!current) return;
    event.stopPropagation();
    drag.current = null;
    if (!current.hasMoved) {
      onTap(event);
      return;
    }
    putDown();
  };
  const putBack = (): void => {
    drag.current = null;
    next.current = null;
    told.current = null;
    onPutBack();
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const arrow = ARROWS[event.key];
    if (arrow) {
      event.preventDefault();
      if (drag.current) return;
      const step = event.shiftKey ? LONG_STEP : STEP;
      const from = next.current?.at ?? told.current?.at ?? part.at;
      for (let n = 0; n < MOST_STEPS; n++) {
        const far = step + n * STEP;
        if (takeTo([from[0] + arrow[0] * far, from[1] + arrow[1] * far])) break;
      }
    } else if (event.key === "Enter" && isTaken() && !drag.current) {
      event.preventDefault();
      putDown();
    } else if (event.key === "Escape") {
      event.preventDefault();
      putBack();
    }
  };
  return (
    <button
      type="button"
      className="plan-handle"
      style={{ left: box.x - box.w / 2, top: box.y - box.h / 2, width: box.w, height: box.h }}
      data-held={isHeld}
      aria-label={words.handle(partTag(part.id))}
      aria-describedby={describedBy}
      onPointerDown={onPointerDown}
      onPointerMove={onPointerMove}
      onPointerUp={onPointerUp}
      onPointerCancel={putBack}
      onKeyDown={onKeyDown}
      onBlur={() => {
        if (isTaken() && !drag.current) putDown();
      }}
    />
  );
}
