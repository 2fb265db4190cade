/** A finding's number in the shape of its severity, as on the plan: octagon, disc, diamond, ring. The word goes with it. */

import type { Severity } from "../engine/types.ts";
import { text } from "../text.ts";

const disc = "M12 1.5a10.5 10.5 0 1 1 0 21a10.5 10.5 0 1 1 0-21z";
const shapes: Record<Severity, string> = {
  unsafe: "M7.65 1.5h8.7l6.15 6.15v8.7l-6.15 6.15h-8.7L1.5 16.35v-8.7z",
  fails: disc,
  risk: "M12 0L24 12L12 24L0 12z",
  note: disc,
};

export function SeverityMark({ severity, n }: { severity: Severity; n?: number }) {
  return (
    <span className={`severity-mark ${severity}`} aria-hidden="true">
      <svg viewBox="0 0 24 24" focusable="false" aria-hidden="true">
        <path d={shapes[severity]} />
      </svg>
      {n !== undefined && <span className="severity-number">{n}</span>}
    </span>
  );
}

export function SeverityWord({ severity }: { severity: Severity }) {
  return <span className={`severity-word ${severity}`}>{text.severity[severity]}</span>;
}
