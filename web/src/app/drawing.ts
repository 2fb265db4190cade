/** What the page needs to know of the drawing, and the drawing of the job, beside its props. */

import { useEffect, useState } from "react";
import type { JobDocument } from "../engine/types.ts";
import type { PartKind } from "../plan/parts.ts";

type JobPartKind = JobDocument["equipment"]["parts"][number]["kind"];

const symbols: Partial<Record<JobPartKind, PartKind>> = {
  "line-termination": "termination",
  gateway: "gateway",
  "wireless-router": "gateway",
  router: "router",
  switch: "switch",
  "access-point": "access-point",
  "radio-node": "node",
  injector: "injector",
  "battery-supply": "battery",
  panel: "panel",
  "patch-panel": "patch-panel",
  "outlet-kit": "outlet",
};

/** Which symbol each of the job's own parts has; the built-in ones are known to the drawing. */
export function symbolsOf(document: JobDocument): Record<string, PartKind> {
  return Object.fromEntries(document.equipment.parts.map((part) => [part.id, symbols[part.kind] ?? "other"]));
}

/**
 * The scale that the drawing states in its foot, for the title block. The drawing chooses it by the room it has, so it
 * is read from there whenever the foot changes.
 */
export function useDrawnScale(drawing: HTMLElement | null): string | null {
  const [scale, setScale] = useState<string | null>(null);
  useEffect(() => {
    if (!drawing) return setScale(null);
    const read = () => setScale(drawing.querySelector(".plan-foot-scale b")?.textContent ?? null);
    read();
    const observer = new MutationObserver(read);
    observer.observe(drawing, { subtree: true, childList: true, characterData: true });
    return () => observer.disconnect();
  }, [drawing]);
  return scale;
}
