// Numbers and points that know their space. A plan point is in metres, x to the right and y up the sheet; a screen
// point is in CSS pixels of the drawing, x to the right and y down. The brands exist only for the compiler.

declare const brand: unique symbol;
type Branded<T, Name extends string> = T & { readonly [brand]?: Name };

/** A length in metres. */
export type Metres = Branded<number, "metres">;
/** An angle in radians. */
export type Radians = Branded<number, "radians">;
/** A length in CSS pixels. */
export type Px = Branded<number, "px">;
/** A point in plan [m]: x to the right, y up the sheet. */
export type PlanPoint = Branded<readonly [number, number], "plan">;
/** A point of the drawing [CSS px]: x to the right, y down. */
export type ScreenPoint = Branded<readonly [number, number], "screen">;

/** A box along the axes. */
export interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** The size of a box [CSS px]. */
export interface Size {
  readonly width: number;
  readonly height: number;
}

export const planPoint = (x: number, y: number): PlanPoint => [x, y];
export const screenPoint = (x: number, y: number): ScreenPoint => [x, y];
