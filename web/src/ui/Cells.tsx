/** Cells of schedules: what is known as a figure, what is not in words. */

import { text } from "../text.ts";

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
