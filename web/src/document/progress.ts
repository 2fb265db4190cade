/** Progress that can be read: parts of a step do not take the step's place while it is under way. */

export interface Progress {
  step: string;
  done: number;
  total: number;
}

/**
 * What to show next. Work on several designs at once reports its parts between the steps of the whole; a part has
 * fewer steps than the whole, and what is done of one step only grows.
 */
export function steadied(before: Progress | null, next: Progress): Progress | null {
  if (next.step === "") return before;
  if (before === null) return next;
  if (next.step === before.step) return next.done >= before.done ? next : before;
  return next.total >= before.total ? next : before;
}
