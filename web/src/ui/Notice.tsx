/** Something that went wrong or needs a decision, with what to do next. */

import type { ReactNode } from "react";
import { ConnectionLost, ServerProblem } from "../engine/calls.ts";
import type { Problem } from "../engine/types.ts";
import { text } from "../text.ts";
import { Prose } from "./Prose.tsx";

interface Props {
  tone: "problem" | "plain";
  title: string;
  children?: ReactNode;
  actions?: ReactNode;
}

export function Notice({ tone, title, children, actions }: Props) {
  return (
    <div className={`notice ${tone}`} role={tone === "problem" ? "alert" : "status"}>
      <p className="notice-title">{title}</p>
      {children}
      {actions && <div className="notice-actions">{actions}</div>}
    </div>
  );
}

/** Whether the detail only says again what its single problem says. */
function isRepeated(problem: Problem): boolean {
  const [only, ...rest] = problem.problems ?? [];
  return only !== undefined && rest.length === 0 && problem.detail.includes(only.message);
}

export function ProblemDetails({ problem }: { problem: Problem }) {
  return (
    <>
      {problem.detail && !isRepeated(problem) && (
        <p>
          <Prose text={problem.detail} />
        </p>
      )}
      {problem.problems && problem.problems.length > 0 && (
        <ul className="problem-list">
          {problem.problems.map((p) => (
            <li key={p.path + p.message}>
              {p.path && <code>{p.path}</code>} <Prose text={p.message} />
              {p.hint && <span className="field-fits"> {p.hint}</span>}
            </li>
          ))}
        </ul>
      )}
    </>
  );
}

interface FailureProps {
  error: unknown;
  title: string;
  onAgain?: () => void;
}

/** A request that failed, in words. */
export function Failure({ error, title, onAgain }: FailureProps) {
  const again = onAgain && (
    <button type="button" className="button" onClick={onAgain}>
      {text.tryAgain}
    </button>
  );
  if (error instanceof ServerProblem) {
    return (
      <Notice tone="problem" title={title} actions={again}>
        <ProblemDetails problem={error.problem} />
      </Notice>
    );
  }
  return (
    <Notice tone="problem" title={title} actions={again}>
      <p>{error instanceof ConnectionLost ? text.connection.unreachable : text.unexpected}</p>
    </Notice>
  );
}
