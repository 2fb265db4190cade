/** The changes that the page makes to a job, and how a change that is not sent yet is shown. */

import type { Design, Edit, P3, Remedy } from "../engine/types.ts";

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

/** A part of a kept design in another place, in the room that it is in there. */
export function movePart(design: string, part: string, at: P3, room: string): Edit[] {
  const path = `designs/${design}/parts/${part}`;
  return [
    { kind: "set", path: `${path}/at`, value: at },
    { kind: "set", path: `${path}/room`, value: room },
  ];
}

/** An option as a design of the reader's own, which the planner's options are not mixed up with. */
export function ownCopy(design: Design, taken: readonly string[], name: (number: number) => string): Design {
  let number = 1;
  while (taken.includes(`own-${number}`)) number += 1;
  return { ...design, id: `own-${number}`, name: name(number) };
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
