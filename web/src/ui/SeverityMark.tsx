/** A finding's number in the shape of its severity: octagon, filled circle, ring, thin ring. The word goes with it. */

import type { Severity } from "../engine/types.ts";
import { text } from "../text.ts";

export function SeverityMark({ severity, n }: { severity: Severity; n?: number }) {
  return (
    <span className={`severity-mark ${severity}`} aria-hidden="true">
      <svg viewBox="0 0 24 24" focusable="false" aria-hidden="true">
        {severity === "unsafe" ? (
          <path d="M8 1.5h8L22.5 8v8L16 22.5H8L1.5 16V8z" />
        ) : (
          <circle cx="12" cy="12" r="10.5" />
        )}
        {severity === "risk" && <circle className="severity-inner" cx="12" cy="12" r="7.6" />}
      </svg>
      {n !== undefined && <span className="severity-number">{n}</span>}
    </span>
  );
}

export function SeverityWord({ severity }: { severity: Severity }) {
  return <span className={`severity-word ${severity}`}>{text.severity[severity]}</span>;
}
