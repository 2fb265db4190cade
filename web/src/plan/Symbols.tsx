// Symbols of parts and outlets: plain shapes of our own, the same size at every scale.

import type { Outlet } from "./contract.ts";
import type { PartKind } from "./parts.ts";

interface PartSymbolProps {
  kind: PartKind | "demarcation";
  x: number;
  y: number;
  /** Away from the wall, clockwise on the screen from upwards [°]; for parts on a wall. */
  turn?: number | undefined;
}

/** A part's symbol, 20 px wide, about its place. */
export function PartSymbol({ kind, x, y, turn }: PartSymbolProps) {
  return <g transform={`translate(${x} ${y})`}>{partShape(kind, turn)}</g>;
}

function partShape(kind: PartKind | "demarcation", turn: number | undefined) {
  switch (kind) {
    case "access-point":
      return turn === undefined ? (
        <>
          <circle className="plan-symbol" r="8.5" />
          <circle className="plan-symbol-solid" r="2.8" />
        </>
      ) : (
        <g transform={`rotate(${turn})`}>
          <path className="plan-symbol" d="M-8.5,4 A8.5,8.5 0 0 1 8.5,4 Z" />
          <circle className="plan-symbol-solid" cy="0" r="2.4" />
        </g>
      );
    case "node":
      return (
        <>
          <circle className="plan-symbol" r="8.5" />
          <circle className="plan-symbol" r="3.6" />
        </>
      );
    case "gateway":
      return (
        <>
          <rect className="plan-symbol" x="-8" y="-8" width="16" height="16" />
          <circle className="plan-symbol" r="5" />
          <circle className="plan-symbol-solid" r="1.8" />
        </>
      );
    case "router":
      return (
        <>
          <rect className="plan-symbol" x="-8" y="-8" width="16" height="16" />
          <path className="plan-symbol-line" d="M-4.5,-4.5L4.5,4.5M4.5,-4.5L-4.5,4.5" />
        </>
      );
    case "switch":
      return (
        <>
          <rect className="plan-symbol" x="-9" y="-6" width="18" height="12" />
          <path className="plan-symbol-line" d="M-5,6V1M0,6V1M5,6V1" />
        </>
      );
    case "termination":
      return (
        <>
          <rect className="plan-symbol" x="-7.5" y="-7.5" width="15" height="15" />
          <path className="plan-symbol-solid" d="M-7.5,-7.5V7.5H7.5Z" />
        </>
      );
    case "battery":
      return (
        <>
          <rect className="plan-symbol" x="-8.5" y="-7" width="17" height="14" />
          <path className="plan-symbol-line" d="M-5.5,0H-2M-2,-4.5V4.5M2,-2.2V2.2M2,0H5.5" />
        </>
      );
    case "panel":
      return (
        <>
          <rect className="plan-symbol" x="-6.5" y="-8.5" width="13" height="17" />
          <path className="plan-symbol-line" d="M-3.5,-5.5H3.5M-3.5,-2H3.5M-3.5,1.5H3.5" />
        </>
      );
    case "patch-panel":
      return (
        <>
          <rect className="plan-symbol" x="-9" y="-4.5" width="18" height="9" />
          <path
            className="plan-symbol-solid"
            d="M-6.6,-1.2h2.4v2.4h-2.4zM-1.2,-1.2h2.4v2.4h-2.4zM4.2,-1.2h2.4v2.4h-2.4z"
          />
        </>
      );
    case "injector":
      return (
        <>
          <rect className="plan-symbol" x="-7" y="-7" width="14" height="14" />
          <path className="plan-symbol-line" d="M1.5,-4.5L-2.5,0.8H2.5L-1.5,4.5" />
        </>
      );
    case "demarcation":
      return demarcationShape;
    case "outlet":
      return <path className="plan-symbol" transform={`rotate(${turn ?? 0})`} d="M0,-6.5L7,5.5H-7Z" />;
    default:
      return (
        <>
          <rect className="plan-symbol" x="-7" y="-7" width="14" height="14" />
          <circle className="plan-symbol-solid" r="1.8" />
        </>
      );
  }
}

interface OutletSymbolProps {
  kind: Outlet["kind"];
  x: number;
  y: number;
  /** Away from the wall, clockwise on the screen from upwards [°]. */
  turn: number;
}

/** An outlet's symbol, 10 px wide; its flat side is on the wall. */
export function OutletSymbol({ kind, x, y, turn }: OutletSymbolProps) {
  return <g transform={`translate(${x} ${y}) rotate(${turn})`}>{outletShape(kind)}</g>;
}

function outletShape(kind: Outlet["kind"]) {
  switch (kind) {
    case "mains":
      return <path className="plan-outlet" d="M-4.2,2 A4.2,4.2 0 0 1 4.2,2 ZM0,-2.2V-4.8" />;
    case "data":
      return <path className="plan-outlet" d="M0,-4.6L4.8,3.4H-4.8Z" />;
    case "phone":
      return (
        <>
          <path className="plan-outlet" d="M0,-4.6L4.8,3.4H-4.8Z" />
          <path className="plan-outlet-solid" d="M0,-4.6L4.8,3.4H0Z" />
        </>
      );
    default:
      return (
        <>
          <circle className="plan-outlet" r="4.4" />
          <circle className="plan-outlet-solid" r="1.5" />
        </>
      );
  }
}

/** Where the line enters: a square, half of it the provider's. */
const demarcationShape = (
  <g transform="rotate(45)">
    <rect className="plan-symbol" x="-5.5" y="-5.5" width="11" height="11" />
    <path className="plan-symbol-solid" d="M-5.5,-5.5H5.5L-5.5,5.5Z" />
  </g>
);

export function DemarcationSymbol({ x, y }: { x: number; y: number }) {
  return <g transform={`translate(${x} ${y})`}>{demarcationShape}</g>;
}
