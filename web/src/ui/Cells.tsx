/** Cells of schedules: what is known as a figure, what is not in words. */

import { quantity, type Reader, together } from "../document/format.ts";
import type { Figure } from "../engine/types.ts";
import { text } from "../text.ts";
import { FigureInterval, FigureValue } from "./FigureText.tsx";

interface Props {
  value: string | null;
  /** Said where it is not known. */
  none?: string;
  /** Below, small. */
  note?: string | null;
}

export function Known({ value, none = text.unknown, note }: Props) {
  return (
    <>
      {value === null ? (
        <span className="figure unknown">{none}</span>
      ) : (
        <span className="figure">{value}</span>
      )}
      {note != null && note !== "" && <span className="figure-note">{note}</span>}
    </>
  );
}

/** A cell that has nothing to say: a dash, and why for those who hear it. */
export function Nothing({ said }: { said: string }) {
  return (
    <span className="quiet">
      <span aria-hidden="true">{"\u2013"}</span>
      <span className="spoken">{said}</span>
    </span>
  );
}

/** A figure with its interval below, or what is missing for it. */
export function Whole({ figure, reader }: { figure: Figure; reader: Reader }) {
  return (
    <>
      <FigureValue figure={figure} reader={reader} />
      <FigureInterval figure={figure} reader={reader} />
    </>
  );
}

/** A plain number in its unit. */
export function Measure({ value, unit, reader }: { value: number | null; unit: string; reader: Reader }) {
  return <Known value={value === null ? null : together(quantity(value, unit, reader))} />;
}
