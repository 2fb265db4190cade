/** A figure as people read it: number, unit, interval, whether it is an estimate, and what is missing if unknown. */

import type { Change } from "../document/figures.ts";
import { isCurrency, quantity, type Reader, together } from "../document/format.ts";
import type { Figure } from "../engine/types.ts";
import { text } from "../text.ts";

interface Props {
  figure: Figure | null;
  reader: Reader;
}

/** Number with unit; the unit stays small. */
export function FigureValue({ figure, reader }: Props) {
  if (figure?.value == null) return <span className="figure unknown">{text.figure.unknown}</span>;
  const shown = quantity(figure.value, figure.unit, reader);
  return (
    <span className="figure">
      {shown.number}
      {shown.unit !== "" && <span className="figure-unit">{`\u00a0${shown.unit}`}</span>}
    </span>
  );
}

/** The interval, in the same unit; or what is missing. */
export function FigureInterval({ figure, reader }: Props) {
  if (!figure) return <span className="figure-note">{text.figure.notComputed}</span>;
  if (figure.value === null) {
    return <span className="figure-note">{text.figure.missing(figure.missing ?? [])}</span>;
  }
  const notes = [];
  if (figure.low !== null && figure.high !== null) {
    const low = quantity(figure.low, figure.unit, reader);
    const high = quantity(figure.high, figure.unit, reader);
    const highText = isCurrency(figure.unit) ? high.number : together(high);
    notes.push(text.figure.between(low.number, highText));
  }
  if (figure.estimate) notes.push(text.figure.estimate);
  return notes.length > 0 ? <span className="figure-note">{notes.join(", ")}</span> : null;
}

/** By how much the figure differs from the pinned design's, and whether that is better. */
export function ChangeText({ change, reader }: { change: Change | null; reader: Reader }) {
  if (!change) return null;
  if (change.better === null) return <span className="change">{text.figure.same}</span>;
  const shown = together(quantity(change.by, change.unit, reader, true));
  const word = change.better ? text.figure.better : text.figure.worse;
  return (
    <span className={`change ${change.better ? "better" : "worse"}`}>
      {shown} <span className="change-word">{word}</span>
    </span>
  );
}
