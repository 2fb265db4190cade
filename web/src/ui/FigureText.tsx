/** A figure as people read it: number, unit, interval, whether it is an estimate, and what is missing if unknown. */

import { type Change, isLowerBound } from "../document/figures.ts";
import { isCurrency, number, quantity, type Reader, together } from "../document/format.ts";
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
  return (
    <>
      {figure.low !== null && figure.high !== null && (
        <span className="figure-note interval">{intervalOf(figure, figure.low, figure.high, reader)}</span>
      )}
      {figure.estimate && <span className="figure-note">{text.figure.estimate}</span>}
    </>
  );
}

/** Both ends; the unit stands once, behind, and a currency before each. */
function intervalOf(figure: Figure, low: number, high: number, reader: Reader): string {
  const { unit, confidence } = figure;
  const [start, end] = [quantity(low, unit, reader), quantity(high, unit, reader)];
  if (isLowerBound(figure)) {
    // What is sure is said with how sure it is.
    const sure = confidence == null ? null : `${number(100 * confidence, reader)}\u00a0%`;
    return text.figure.atLeast(together(start), sure);
  }
  return text.figure.between(start.number, isCurrency(unit) ? end.number : together(end));
}

/** By how much the figure differs from the pinned design's, and whether that is better. */
export function ChangeText({ change, reader }: { change: Change | null; reader: Reader }) {
  if (!change) return null;
  if (change.better === null) return <span className="change same">{text.figure.same}</span>;
  const shown = together(quantity(change.by, change.unit, reader, true));
  const word = change.better ? text.figure.better : text.figure.worse;
  return (
    <span className={`change ${change.better ? "better" : "worse"}`}>
      {shown} <span className="change-word">{word}</span>
    </span>
  );
}
