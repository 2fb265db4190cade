/** A labelled input whose problem is tied to it and says what fits. */

import { type ReactNode, useId } from "react";
import type { FieldProblem } from "../engine/types.ts";
import { Prose } from "./Prose.tsx";

interface Wiring {
  id: string;
  "aria-describedby"?: string;
  "aria-invalid"?: true;
}

interface Props {
  label: string;
  hint?: string;
  problems?: readonly FieldProblem[];
  /** Draws the input with the wiring that ties label, hint and problem to it. */
  children(wiring: Wiring): ReactNode;
}

export function Field({ label, hint, problems = [], children }: Props) {
  const id = useId();
  const noteId = `${id}-note`;
  const isDescribed = hint !== undefined || problems.length > 0;
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      {children({
        id,
        ...(isDescribed ? { "aria-describedby": noteId } : {}),
        ...(problems.length > 0 ? { "aria-invalid": true } : {}),
      })}
      {isDescribed && (
        <div id={noteId} className="field-note">
          {hint !== undefined && <p>{hint}</p>}
          <ProblemList problems={problems} />
        </div>
      )}
    </div>
  );
}

export function ProblemList({ problems }: { problems: readonly FieldProblem[] }) {
  return problems.map((problem) => (
    <p key={problem.path + problem.message} className="field-problem">
      <Prose text={problem.message} />
      {problem.hint ? <span className="field-fits"> {problem.hint}</span> : null}
    </p>
  ));
}
