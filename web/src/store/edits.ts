/** Edits of the job that is shown: through the outbox, and what follows when the server has them. */

import { useMemo } from "react";
import type { Edit, JobAnswer } from "../engine/types.ts";
import { text } from "../text.ts";
import { announce } from "./announce.ts";
import { type Correspondent, dismissRefusal, flush, outboxOf, step, submit } from "./outbox.ts";
import { client, keys } from "./queries.ts";
import { useSettings } from "./settings.ts";

export interface JobEdits {
  edit(label: string, edits: Edit[]): void;
  undo(label: string | null): void;
  redo(label: string | null): void;
  /** Makes the refused change again, on the revision that is shown now. */
  again(): void;
  dismiss(): void;
  /** Sends what waits. */
  flush(): void;
}

function correspondentOf(id: string): Correspondent {
  return {
    who: () => useSettings.getState().who,
    acknowledged: (answer, label) => {
      // The title block and the undo buttons follow at once; the document is read again.
      client.setQueryData<JobAnswer>(
        keys.job(id),
        (before) => before && { ...before, ...answer, job: { ...before.job, revision: answer.revision } },
      );
      void client.invalidateQueries({ queryKey: keys.job(id) });
      void client.invalidateQueries({ queryKey: keys.jobs });
      announce(label);
    },
    outdated: () => void client.invalidateQueries({ queryKey: keys.job(id) }),
  };
}

export function useEdits(id: string): JobEdits {
  return useMemo(() => {
    const to = correspondentOf(id);
    return {
      edit: (label, edits) =>
        submit(id, label, edits, { ...to, acknowledged: (a, l) => to.acknowledged(a, text.job.saved(l)) }),
      undo: (label) => void step(id, "undo", text.job.undone(label), to),
      redo: (label) => void step(id, "redo", text.job.redone(label), to),
      again: () => {
        const refusal = outboxOf(id).refusal;
        if (refusal) submit(id, refusal.unsent.label, refusal.unsent.edits, to);
      },
      dismiss: () => dismissRefusal(id),
      flush: () => void flush(id, to),
    };
  }, [id]);
}
