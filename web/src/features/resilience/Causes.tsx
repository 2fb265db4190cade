/** What brings something down, as marks by shape with how many there are; the words are said and shown on pointing. */

import { type Cause, causesOf } from "../../document/staying.ts";
import type { Design, Member } from "../../engine/types.ts";
import { CauseGlyph, type CauseShape } from "../../plan/CauseGlyph.tsx";
import { text } from "../../text.ts";
import { kindOrder, shapeOf } from "./words.ts";

const t = text.resilience;

/** Kinds with their counts, in the order in which trouble comes in from the street. */
function causesIn(
  members: readonly Member[],
  design: Design,
): (Omit<Cause, "kind"> & { shape: CauseShape })[] {
  const batteries = members.filter((member) => shapeOf(member, design) === "battery");
  const others = members.filter((member) => shapeOf(member, design) !== "battery");
  const rest = causesOf(others)
    .toSorted((a, b) => kindOrder.indexOf(a.kind) - kindOrder.indexOf(b.kind))
    .map(({ kind, count }): { shape: CauseShape; count: number } => ({ shape: kind, count }));
  const count = new Set(batteries.map(({ id }) => id)).size;
  return count > 0 ? [...rest, { shape: "battery", count }] : rest;
}

/** The same in words, for files and for those who hear it. */
export function causesText(members: readonly Member[], design: Design): string {
  const list = causesIn(members, design).map(({ shape, count }) =>
    t.services.causeCount(t.kinds[shape], count),
  );
  return list.length === 0 ? t.services.causesNone : list.join(", ");
}

export function Causes({ members, design }: { members: readonly Member[]; design: Design }) {
  const list = causesIn(members, design);
  if (list.length === 0) return <span className="quiet">{t.services.causesNone}</span>;
  return (
    <span className="causes" title={causesText(members, design)}>
      {list.map(({ shape, count }) => (
        <span key={shape} className="cause" aria-hidden="true">
          <CauseGlyph shape={shape} />
          {count > 1 && <span className="cause-count">{`×${count}`}</span>}
        </span>
      ))}
      <span className="spoken">{causesText(members, design)}</span>
    </span>
  );
}

/** What the marks mean; those that occur. */
export function CausesKey({ members, design }: { members: readonly Member[]; design: Design }) {
  const shapes = causesIn(members, design).map(({ shape }) => shape);
  if (shapes.length === 0) return null;
  return (
    <ul className="causes-key" aria-label={t.services.causes}>
      {shapes.map((shape) => (
        <li key={shape}>
          <CauseGlyph shape={shape} />
          {t.kinds[shape]}
        </li>
      ))}
    </ul>
  );
}
