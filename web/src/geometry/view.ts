// Where the plan stands in the window: a scale and a shift, never a turn. Plan y is up, screen y is down.

import { type Box, type PlanPoint, planPoint, type ScreenPoint, type Size, screenPoint } from "./brand.ts";
import { nextScale, pxPerMetre, scaleNumber, scaleThatFits, type UnitSystem } from "./scale.ts";

/** A view: `screen = (x · k + tx, −y · k + ty)`. */
export interface View {
  /** Pixels to the metre. */
  readonly k: number;
  /** Where the plan's zero point is [px]. */
  readonly tx: number;
  readonly ty: number;
}

/** Room kept free around the drawing [px]. */
export interface Insets {
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
  readonly left: number;
}

/** Limits of zooming: 1:5 and 1:2000. */
const MOST = pxPerMetre(5);
const LEAST = pxPerMetre(2000);

export const screenFromPlan = (view: View, p: PlanPoint): ScreenPoint =>
  screenPoint(p[0] * view.k + view.tx, -p[1] * view.k + view.ty);

export const planFromScreen = (view: View, p: ScreenPoint): PlanPoint =>
  planPoint((p[0] - view.tx) / view.k, (view.ty - p[1]) / view.k);

/**
 * The view that shows a box of the plan whole, in the middle, at the largest working scale that fits; without units as
 * large as fits.
 */
export function fitView(bounds: Box, size: Size, insets: Insets, units: UnitSystem | null): View {
  const width = Math.max(1, size.width - insets.left - insets.right);
  const height = Math.max(1, size.height - insets.top - insets.bottom);
  const limit = Math.min(
    width / Math.max(bounds.maxX - bounds.minX, 0.1),
    height / Math.max(bounds.maxY - bounds.minY, 0.1),
  );
  const k = units === null ? limit : pxPerMetre(scaleThatFits(limit, units));
  return centredOn(
    planPoint((bounds.minX + bounds.maxX) / 2, (bounds.minY + bounds.maxY) / 2),
    screenPoint(insets.left + width / 2, insets.top + height / 2),
    k,
  );
}

/** The view at `k` pixels to the metre that shows a plan point at a place of the screen; the shift is a whole pixel. */
export function centredOn(p: PlanPoint, at: ScreenPoint, k: number): View {
  return { k, tx: Math.round(at[0] - p[0] * k), ty: Math.round(at[1] + p[1] * k) };
}

/** Zooms to `k` pixels to the metre; what is under `at` stays there. */
export function zoomTo(view: View, k: number, at: ScreenPoint): View {
  const to = Math.min(MOST, Math.max(LEAST, k));
  const p = planFromScreen(view, at);
  return { k: to, tx: at[0] - p[0] * to, ty: at[1] + p[1] * to };
}

/** Zooms by a factor; what is under `at` stays there. */
export const zoomBy = (view: View, factor: number, at: ScreenPoint): View =>
  zoomTo(view, view.k * factor, at);

/** Zooms to the next working scale. */
export const zoomStep = (view: View, direction: 1 | -1, at: ScreenPoint, units: UnitSystem): View =>
  zoomTo(view, pxPerMetre(nextScale(scaleNumber(view.k), direction, units)), at);

export const panBy = (view: View, dx: number, dy: number): View => ({
  k: view.k,
  tx: view.tx + dx,
  ty: view.ty + dy,
});

/** Keeps at least `keep` pixels of the drawing in the window, so that it cannot be lost. */
export function keepInSight(view: View, bounds: Box, size: Size, keep = 80): View {
  const left = bounds.minX * view.k + view.tx;
  const right = bounds.maxX * view.k + view.tx;
  const top = -bounds.maxY * view.k + view.ty;
  const bottom = -bounds.minY * view.k + view.ty;
  const dx = right < keep ? keep - right : left > size.width - keep ? size.width - keep - left : 0;
  const dy = bottom < keep ? keep - bottom : top > size.height - keep ? size.height - keep - top : 0;
  return dx === 0 && dy === 0 ? view : panBy(view, dx, dy);
}
