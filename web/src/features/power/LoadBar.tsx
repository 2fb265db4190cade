/** What is drawn from a supply as a bar: the highest draw, how far it may reach, and the budget. */

import { quantity, type Reader, together } from "../../document/format.ts";
import type { SupplyRow } from "../../engine/types.ts";
import { text } from "../../text.ts";

const t = text.power.supply;
const height = 26;
const top = 8;
const bottom = 22;

export function LoadPatterns({ prefix }: { prefix: string }) {
  return (
    <svg className="time-patterns" width="0" height="0" aria-hidden="true">
      <defs>
        <pattern id={`${prefix}-reach`} width="5" height="5" patternUnits="userSpaceOnUse">
          <path className="time-line" d="M-1,1L1,-1M0,5L5,0M4,6L6,4" />
        </pattern>
      </defs>
    </svg>
  );
}

interface Props {
  supply: SupplyRow;
  /** Watts of the whole bar, the same for all bars. */
  whole: number;
  prefix: string;
  reader: Reader;
}

export function LoadBar({ supply, whole, prefix, reader }: Props) {
  const { worst_draw: draw, budget } = supply;
  const watts = (value: number | null): string =>
    value === null ? text.unknown : together(quantity(value, "W", reader));
  const percent = (value: number): string =>
    `${Math.min(100, Math.max(0, (100 * value) / whole)).toFixed(2)}%`;
  const between =
    draw.low === null || draw.high === null
      ? text.unknown
      : text.figure.between(watts(draw.low), watts(draw.high));
  const sure = draw.value ?? draw.low ?? 0;
  const reach = draw.high ?? sure;
  const isOver = budget !== null && reach > budget;
  return (
    <svg
      className="time-bar"
      width="100%"
      height={height}
      role="img"
      aria-label={t.bar(watts(draw.value), between, budget === null ? t.noBudget : watts(budget))}
    >
      <rect className="time-own" x="0" y={top} width={percent(sure)} height={bottom - top} />
      {reach > sure && (
        <>
          <rect
            x={percent(sure)}
            y={top}
            width={percent(reach - sure)}
            height={bottom - top}
            fill={`url(#${prefix}-reach)`}
          />
          <line className="time-edge" x1={percent(reach)} x2={percent(reach)} y1={top} y2={bottom} />
        </>
      )}
      <line className="time-edge" x1={percent(sure)} x2={percent(sure)} y1={top} y2={bottom} />
      <rect className="time-frame" x="0" y={top} width="100%" height={bottom - top} />
      {budget !== null && (
        <>
          <line className="time-limit" x1={percent(budget)} x2={percent(budget)} y1="1" y2={height} />
          {isOver && (
            <svg x={percent(reach)} y="0" overflow="visible" aria-hidden="true">
              <path className="time-poor" d={`M-4.5,0.5H4.5L0,${top}Z`} />
            </svg>
          )}
        </>
      )}
    </svg>
  );
}

export function LoadKey({ prefix }: { prefix: string }) {
  return (
    <ul className="time-key" aria-hidden="true">
      <li>
        <svg width="22" height="13" aria-hidden="true">
          <rect className="time-own" x="0.5" y="0.5" width="21" height="12" />
        </svg>
        {t.drawMark}
      </li>
      <li>
        <svg width="22" height="13" aria-hidden="true">
          <rect x="0.5" y="0.5" width="21" height="12" fill={`url(#${prefix}-reach)`} />
          <rect className="time-frame" x="0.5" y="0.5" width="21" height="12" />
        </svg>
        {t.reachMark}
      </li>
      <li>
        <svg width="8" height="15" aria-hidden="true">
          <line className="time-limit" x1="4" x2="4" y1="0" y2="15" />
        </svg>
        {t.budgetMark}
      </li>
      <li>
        <svg width="12" height="13" aria-hidden="true">
          <path className="time-poor" d="M1.5,0.5H10.5L6,8Z" />
        </svg>
        {t.overMark}
      </li>
    </ul>
  );
}
