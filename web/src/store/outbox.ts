/**
 * Edits on their way to the server. An edit stays here, and in the browser's storage, until the server has it on disk;
 * a lost connection only delays it. The server keeps the history: nothing here is undone.
 */

import { create } from "zustand";
import { ConnectionLost, isPassing, ServerProblem, sendEdits, sendStep } from "../engine/calls.ts";
import type { Edit, EditAnswer, Problem } from "../engine/types.ts";

export interface Unsent {
  key: number;
  label: string;
  edits: Edit[];
}

export interface Refusal {
  kind: "conflict" | "refused";
  /** What was to be done, so that it can be done again on the newer revision. */
  unsent: Unsent;
  problem: Problem;
}

/** Edits that are on disk, with the revision that they made. */
export interface Saved {
  revision: number;
  edits: Edit[];
}

export interface Outbox {
  unsent: Unsent[];
  /** Saved, but what is drawn was read before them. */
  saved: Saved[];
  isSending: boolean;
  refusal: Refusal | null;
  /** The newest revision that the server has confirmed. */
  revision: number | null;
}

const empty: Outbox = { unsent: [], saved: [], isSending: false, refusal: null, revision: null };

interface Outboxes {
  jobs: Record<string, Outbox>;
  /** Whether the server answered last time. */
  isConnected: boolean;
}

export const useOutboxes = create<Outboxes>()(() => ({ jobs: {}, isConnected: true }));

/** How long to wait when the program is busy, milliseconds. */
const busyWait = 1000;

const storageKey = (job: string) => `wallplate.unsent.${job}`;
let nextKey = Date.now();

/** Unsent edits with the revision that they were made on, so that a later visit does not overwrite others' edits. */
interface Stored {
  revision: number;
  unsent: Unsent[];
}

function readStored(job: string): Stored | null {
  try {
    const stored = JSON.parse(localStorage.getItem(storageKey(job)) ?? "null") as Stored | null;
    return stored && Array.isArray(stored.unsent) && typeof stored.revision === "number" ? stored : null;
  } catch {
    return null;
  }
}

function writeStored(job: string, { unsent, revision }: Outbox): void {
  try {
    if (unsent.length === 0 || revision === null) localStorage.removeItem(storageKey(job));
    else localStorage.setItem(storageKey(job), JSON.stringify({ revision, unsent } satisfies Stored));
  } catch {
    // No storage: unsent edits live as long as the page.
  }
}

export function outboxOf(job: string): Outbox {
  return useOutboxes.getState().jobs[job] ?? empty;
}

export function useOutbox(job: string): Outbox {
  return useOutboxes((state) => state.jobs[job] ?? empty);
}

function change(job: string, part: Partial<Outbox>): void {
  const after = { ...outboxOf(job), ...part };
  useOutboxes.setState((state) => ({ jobs: { ...state.jobs, [job]: after } }));
  if (part.unsent) writeStored(job, after);
}

export function setConnected(isConnected: boolean): void {
  if (useOutboxes.getState().isConnected !== isConnected) useOutboxes.setState({ isConnected });
}

/** What the outbox needs of whoever shows the job. */
export interface Correspondent {
  who(): string;
  /** An edit is on disk, or undone. */
  acknowledged(answer: EditAnswer, label: string): void;
  /** The job on the server is newer than what is shown. */
  outdated(): void;
}

/**
 * The job was read: its revision is what the next edit builds on. Edits that still wait keep the revision that they
 * were made on, so that the server notices if somebody else edited meanwhile.
 */
export function opened(job: string, revision: number): void {
  const outbox = outboxOf(job);
  if (outbox.revision === null && outbox.unsent.length === 0) {
    change(job, readStored(job) ?? { revision });
  } else if (outbox.unsent.length === 0 && !outbox.isSending && revision > (outbox.revision ?? 0)) {
    change(job, { revision });
  }
}

export function submit(job: string, label: string, edits: Edit[], correspondent: Correspondent): void {
  if (edits.length === 0) return;
  const unsent = [...outboxOf(job).unsent, { key: nextKey++, label, edits }];
  change(job, { unsent, refusal: null });
  void flush(job, correspondent);
}

/** Sends what waits, one after the other, until all is on disk or the server cannot be reached. */
export async function flush(job: string, correspondent: Correspondent): Promise<void> {
  if (outboxOf(job).isSending) return;
  change(job, { isSending: true });
  try {
    for (;;) {
      const { unsent, revision } = outboxOf(job);
      const next = unsent[0];
      if (!next || revision === null) return;
      const isDone = await sendOne(job, next, revision, correspondent);
      if (!isDone) return;
    }
  } finally {
    change(job, { isSending: false });
  }
}

async function sendOne(job: string, next: Unsent, revision: number, to: Correspondent): Promise<boolean> {
  const without = () => outboxOf(job).unsent.filter((unsent) => unsent.key !== next.key);
  try {
    const answer = await sendEdits(job, revision, next.label, next.edits, to.who());
    setConnected(true);
    const saved = [...outboxOf(job).saved, { revision: answer.revision, edits: next.edits }];
    change(job, { unsent: without(), saved, revision: answer.revision });
    to.acknowledged(answer, next.label);
    return true;
  } catch (error) {
    if (error instanceof ServerProblem && error.problem.status === 409) {
      // All that waits was made on the older revision.
      const all = outboxOf(job).unsent;
      const unsent = { ...next, edits: all.flatMap((waiting) => waiting.edits) };
      const revision = error.problem.revision ?? outboxOf(job).revision;
      change(job, { unsent: [], revision, refusal: { kind: "conflict", unsent, problem: error.problem } });
      to.outdated();
      return false;
    }
    if (isPassing(error) && error instanceof ServerProblem) {
      setTimeout(() => void flush(job, to), busyWait);
      return false;
    }
    if (error instanceof ServerProblem) {
      change(job, { unsent: without(), refusal: { kind: "refused", unsent: next, problem: error.problem } });
      return outboxOf(job).unsent.length > 0;
    }
    if (error instanceof ConnectionLost) setConnected(false);
    return false;
  }
}

/** The job was read and drawn as of a revision: what that has need not be remembered. */
export function drawn(job: string, revision: number): void {
  const { saved } = outboxOf(job);
  const later = saved.filter((edit) => edit.revision > revision);
  if (later.length < saved.length) change(job, { saved: later });
}

/** Edits that what is drawn does not have yet, oldest first: nothing that was typed goes back for a moment. */
export function pendingEdits(outbox: Outbox): Edit[] {
  return [...outbox.saved, ...outbox.unsent].flatMap(({ edits }) => edits);
}

/** Undo or redo, at the server. It is not queued: what it would undo is unknown without the server. */
export async function step(
  job: string,
  kind: "undo" | "redo",
  label: string,
  to: Correspondent,
): Promise<void> {
  const { revision, isSending, unsent } = outboxOf(job);
  if (revision === null || isSending || unsent.length > 0) return;
  change(job, { isSending: true });
  try {
    const answer = await sendStep(job, kind, revision, to.who());
    setConnected(true);
    change(job, { saved: [], revision: answer.revision });
    to.acknowledged(answer, label);
  } catch (error) {
    if (error instanceof ServerProblem) {
      const unsentStep = { key: nextKey++, label, edits: [] };
      // Nothing to undo is no conflict, but both mean that what is shown is old.
      const isOld = error.problem.status === 409;
      const kind = isOld && !error.problem.type.endsWith("nothing-to-do") ? "conflict" : "refused";
      change(job, { refusal: { kind, unsent: unsentStep, problem: error.problem } });
      if (isOld) to.outdated();
    } else if (error instanceof ConnectionLost) setConnected(false);
  } finally {
    change(job, { isSending: false });
  }
}

export function dismissRefusal(job: string): void {
  change(job, { refusal: null });
}
