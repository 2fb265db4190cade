/** What stands between the reader and a saved job: a lost connection, an edit that was refused or made on an old revision. */

import type { JobEdits } from "../../store/edits.ts";
import { useIsConnected } from "../../store/live.ts";
import type { Outbox } from "../../store/outbox.ts";
import { text } from "../../text.ts";
import { Notice, ProblemDetails } from "../../ui/Notice.tsx";

const t = text.job;

interface Props {
  edits: JobEdits;
  outbox: Outbox;
  revision: number;
}

export function Messages({ edits, outbox, revision }: Props) {
  const isConnected = useIsConnected();
  const { refusal, unsent } = outbox;
  const dismiss = (
    <button type="button" className="button" onClick={edits.dismiss}>
      {text.dismiss}
    </button>
  );
  return (
    <div className="messages">
      {!isConnected && (
        <Notice
          tone="problem"
          title={unsent.length > 0 ? text.connection.lostUnsent(unsent.length) : text.connection.lost}
        />
      )}
      {refusal?.kind === "conflict" && (
        <Notice
          tone="problem"
          title={t.conflict}
          actions={
            <>
              {refusal.unsent.edits.length > 0 && (
                <button type="button" className="button main" onClick={edits.again}>
                  {t.makeAgain}
                </button>
              )}
              {dismiss}
            </>
          }
        >
          <p>{t.conflictDetail(refusal.unsent.label, revision)}</p>
        </Notice>
      )}
      {refusal?.kind === "refused" && (
        <Notice tone="problem" title={t.refused(refusal.unsent.label)} actions={dismiss}>
          <ProblemDetails problem={refusal.problem} />
        </Notice>
      )}
    </div>
  );
}
