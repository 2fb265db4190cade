// The view and the gestures that change it: wheel, drag, pinch. Until a gesture or a key changes it, the view fits the
// window and follows its size.

import {
  type PointerEvent as ReactPointerEvent,
  type RefObject,
  useCallback,
  useEffect,
  useMemo,
  useRef,
  useState,
} from "react";
import { type Box, type ScreenPoint, type Size, screenPoint } from "../geometry/brand.ts";
import { pxPerMetre, scaleNumber, type UnitSystem } from "../geometry/scale.ts";
import {
  fitView,
  type Insets,
  keepInSight,
  panBy,
  type View,
  zoomBy,
  zoomStep,
  zoomTo,
} from "../geometry/view.ts";

/** A press that moves less is a tap [px]. */
const SLOP = 4;
/** Wheel turn that doubles the scale [px]. */
const WHEEL_DOUBLES = 600;
/** The view is at rest when it has not changed for so long [ms]. */
const SETTLED = 140;
/** A zoom that ends this near a working scale takes it. */
const SNAP = 0.02;

export interface ViewControl {
  readonly view: View;
  readonly isFitted: boolean;
  readonly isPanning: boolean;
  /** True while the view changes, and a moment longer. */
  readonly isMoving: boolean;
  readonly fit: () => void;
  readonly step: (direction: 1 | -1) => void;
  readonly pan: (dx: number, dy: number) => void;
  readonly pointer: {
    readonly onPointerDown: (event: ReactPointerEvent) => void;
    readonly onPointerMove: (event: ReactPointerEvent) => void;
    readonly onPointerUp: (event: ReactPointerEvent) => void;
    readonly onPointerCancel: (event: ReactPointerEvent) => void;
  };
}

interface ViewInput {
  readonly window: RefObject<HTMLElement | null>;
  readonly bounds: Box;
  readonly size: Size;
  readonly insets: Insets;
  readonly units: UnitSystem;
  /** False for a picture that has no scale: it fills the window. */
  readonly isToScale?: boolean;
  readonly onTap: (at: ScreenPoint, isTouch: boolean) => void;
  readonly onHover: (at: ScreenPoint) => void;
}

export function useView({
  window,
  bounds,
  size,
  insets,
  units,
  isToScale = true,
  onTap,
  onHover,
}: ViewInput): ViewControl {
  const [own, setOwn] = useState<View | null>(null);
  const [isPanning, setIsPanning] = useState(false);
  const fitted = useMemo(
    () => fitView(bounds, size, insets, isToScale ? units : null),
    [bounds, size, insets, units, isToScale],
  );
  const view = own ?? fitted;
  const latest = useRef({ view, size, bounds });
  latest.current = { view, size, bounds };

  const [isMoving, setIsMoving] = useState(false);
  const settle = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  useEffect(() => () => clearTimeout(settle.current), []);

  const change = useCallback((to: View) => {
    clearTimeout(settle.current);
    settle.current = setTimeout(() => setIsMoving(false), SETTLED);
    setIsMoving(true);
    const kept = keepInSight(to, latest.current.bounds, latest.current.size);
    latest.current = { ...latest.current, view: kept };
    setOwn(kept);
  }, []);

  useEffect(() => {
    const element = window.current;
    if (!element) return;
    // React listens passively; the page must not scroll while the drawing zooms.
    const onWheel = (event: WheelEvent): void => {
      event.preventDefault();
      const unit = event.deltaMode === 1 ? 16 : event.deltaMode === 2 ? 400 : 1;
      if (event.shiftKey) {
        change(panBy(latest.current.view, -(event.deltaX + event.deltaY) * unit, 0));
        return;
      }
      const box = element.getBoundingClientRect();
      const speed = event.ctrlKey ? 4 : 1;
      const factor = 2 ** ((-event.deltaY * unit * speed) / WHEEL_DOUBLES);
      change(
        zoomBy(latest.current.view, factor, screenPoint(event.clientX - box.left, event.clientY - box.top)),
      );
    };
    element.addEventListener("wheel", onWheel, { passive: false });
    return () => element.removeEventListener("wheel", onWheel);
  }, [window, change]);

  const pressed = useRef(new Map<number, { x: number; y: number }>());
  const gesture = useRef({ moved: 0, wasPinch: false });

  const local = useCallback(
    (event: ReactPointerEvent): { x: number; y: number } => {
      const box = window.current?.getBoundingClientRect();
      return { x: event.clientX - (box?.left ?? 0), y: event.clientY - (box?.top ?? 0) };
    },
    [window],
  );

  const pointer = useMemo(() => {
    const onPointerDown = (event: ReactPointerEvent): void => {
      if (event.button !== 0) return;
      if (pressed.current.size === 0) gesture.current = { moved: 0, wasPinch: false };
      else gesture.current.wasPinch = true;
      pressed.current.set(event.pointerId, local(event));
      window.current?.setPointerCapture(event.pointerId);
    };
    const onPointerMove = (event: ReactPointerEvent): void => {
      const to = local(event);
      const from = pressed.current.get(event.pointerId);
      if (!from) {
        if (event.pointerType !== "touch") onHover(screenPoint(to.x, to.y));
        return;
      }
      const others = [...pressed.current].filter(([id]) => id !== event.pointerId).map(([, p]) => p);
      const other = others[0];
      if (other) {
        const before = Math.hypot(from.x - other.x, from.y - other.y) || 1;
        const after = Math.hypot(to.x - other.x, to.y - other.y);
        const middle = screenPoint((to.x + other.x) / 2, (to.y + other.y) / 2);
        change(
          zoomBy(
            panBy(latest.current.view, (to.x - from.x) / 2, (to.y - from.y) / 2),
            after / before,
            middle,
          ),
        );
      } else {
        gesture.current.moved += Math.hypot(to.x - from.x, to.y - from.y);
        if (gesture.current.moved < SLOP) return;
        setIsPanning(true);
        change(panBy(latest.current.view, to.x - from.x, to.y - from.y));
      }
      pressed.current.set(event.pointerId, to);
    };
    const end = (event: ReactPointerEvent, isTap: boolean): void => {
      if (!pressed.current.delete(event.pointerId)) return;
      if (pressed.current.size > 0) return;
      setIsPanning(false);
      const { moved, wasPinch } = gesture.current;
      if (wasPinch) {
        const near = nearWorkingScale(latest.current.view.k);
        const { width, height } = latest.current.size;
        if (near) change(zoomTo(latest.current.view, near, screenPoint(width / 2, height / 2)));
      } else if (isTap && moved < SLOP) {
        const at = local(event);
        onTap(screenPoint(at.x, at.y), event.pointerType === "touch");
      }
    };
    return {
      onPointerDown,
      onPointerMove,
      onPointerUp: (event: ReactPointerEvent) => end(event, true),
      onPointerCancel: (event: ReactPointerEvent) => end(event, false),
    };
  }, [window, local, change, onTap, onHover]);

  const step = useCallback(
    (direction: 1 | -1) => {
      const { width, height } = latest.current.size;
      change(zoomStep(latest.current.view, direction, screenPoint(width / 2, height / 2), units));
    },
    [change, units],
  );
  const pan = useCallback((dx: number, dy: number) => change(panBy(latest.current.view, dx, dy)), [change]);
  const fit = useCallback(() => setOwn(null), []);
  return { view, isFitted: own === null, isPanning, isMoving, fit, step, pan, pointer };
}

/** Pixels to the metre of a round scale that is so near that nobody meant another. */
function nearWorkingScale(k: number): number | null {
  const whole = Math.round(scaleNumber(k) / 5) * 5;
  return whole > 0 && Math.abs(pxPerMetre(whole) - k) < k * SNAP ? pxPerMetre(whole) : null;
}
