/** The changes that the page makes to a job, and how a change that is not sent yet is shown. */

import type { Design, Edit, Remedy } from "../engine/types.ts";

export function renameJob(name: string): Edit[] {
  return [{ kind: "set", path: "name", value: name }];
}

export function renameRoom(id: string, name: string): Edit[] {
  return [{ kind: "set", path: `building/rooms/${id}/name`, value: name }];
}

export function setWallAssembly(wall: string, assembly: string): Edit[] {
  return [{ kind: "set", path: `building/walls/${wall}/assembly`, value: assembly }];
}

export function keepDesign(design: Design): Edit[] {
  return [{ kind: "insert", path: "designs", value: design }];
}

export function removeDesign(id: string): Edit[] {
  return [{ kind: "remove", path: `designs/${id}` }];
}

/** A remedy's edits; those that change a design that is not in the job yet keep it first. */
export function applyRemedy(remedy: Remedy, design: Design | null, isKept: boolean): Edit[] {
  const edits = remedy.edits ?? [];
  const touchesDesign = design !== null && edits.some((edit) => edit.path.startsWith(`designs/${design.id}`));
  return touchesDesign && !isKept ? [...keepDesign(design), ...edits] : edits;
}

/** What an unsent change will set a field to; the last one counts. */
export function pendingValue(unsent: readonly Edit[], path: string): unknown {
  return unsent.findLast((edit) => edit.kind === "set" && edit.path === path)?.value;
}
