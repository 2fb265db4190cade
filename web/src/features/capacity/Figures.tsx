/** Figures of the busy hour: the median evening above, one evening in twenty below. */

import type { Spread } from "../../engine/types.ts";
import { text } from "../../text.ts";

const t = text.capacity;

interface Props {
  spread: Spread | null;
  show(value: number): string;
  /** Said where there is no spread. */
  none: string;
}

export function Two({ spread, show, none }: Props) {
  if (!spread) return <span className="figure unknown">{none}</span>;
  return (
    <>
      <span className="figure">
        {show(spread.median)}
        <span className="spoken"> {t.median}</span>
      </span>
      <span className="figure-note">
        {show(spread.poor)}
        <span className="spoken"> {t.poor}</span>
      </span>
    </>
  );
}

export function One({ value, none = text.unknown }: { value: string | null; none?: string }) {
  return value === null ? (
    <span className="figure unknown">{none}</span>
  ) : (
    <span className="figure">{value}</span>
  );
}

/** A cell that has nothing to say: a dash, and why for those who hear it. */
export function Not({ said }: { said: string }) {
  return (
    <span className="quiet">
      <span aria-hidden="true">{"\u2013"}</span>
      <span className="spoken">{said}</span>
    </span>
  );
}

/** What a column shows, and in which unit. */
export function Head({ name, unit }: { name: string; unit: string }) {
  return (
    <>
      {name}
      <span className="under">{unit}</span>
    </>
  );
}
