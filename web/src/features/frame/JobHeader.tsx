/** The head of a job: its name, renamed in place, undo and redo, and whether all is saved. */

import { useState } from "react";
import { pendingValue, renameJob } from "../../document/edits.ts";
import type { JobAnswer } from "../../engine/types.ts";
import type { JobEdits } from "../../store/edits.ts";
import { type Outbox, pendingEdits } from "../../store/outbox.ts";
import { text } from "../../text.ts";
import { focusSoon, InPlace } from "../../ui/InPlace.tsx";
import { Link } from "../../ui/Link.tsx";

const t = text.job;

interface Props {
  answer: JobAnswer;
  design: string | null;
  edits: JobEdits;
  outbox: Outbox;
  onHistory(): void;
  onMore(): void;
}

export function JobHeader({ answer, design, edits, outbox, onHistory, onMore }: Props) {
  const pending = pendingValue(pendingEdits(outbox), "name");
  const name = typeof pending === "string" ? pending : answer.job.name;
  const isWaiting = outbox.isSending || outbox.unsent.length > 0;
  return (
    <header className="job-header">
      <Link to={{ page: "jobs", archived: false }} className="job-header-home">
        {t.all}
      </Link>
      <JobName name={name} onRename={(next) => edits.edit(t.renamed, renameJob(next))} />
      {design !== null && <span className="job-header-design">{design}</span>}
      <div className="job-header-tools">
        <button
          type="button"
          className="button"
          disabled={!answer.can_undo || isWaiting}
          title={t.undoOf(answer.undo_label)}
          onClick={() => edits.undo(answer.undo_label)}
        >
          {t.undo}
        </button>
        <button
          type="button"
          className="button"
          disabled={!answer.can_redo || isWaiting}
          title={t.redoOf(answer.redo_label)}
          onClick={() => edits.redo(answer.redo_label)}
        >
          {t.redo}
        </button>
        <button
          type="button"
          className="button quiet job-header-saved"
          title={t.historyTitle}
          aria-haspopup="dialog"
          onClick={onHistory}
        >
          <span>
            {outbox.isSending
              ? t.saving
              : outbox.unsent.length > 0
                ? t.unsent(outbox.unsent.length)
                : t.isSaved}
          </span>
          <span className="quiet">{t.revision(answer.job.revision)}</span>
        </button>
        <button type="button" className="button" aria-haspopup="dialog" onClick={onMore}>
          {t.more}
        </button>
      </div>
    </header>
  );
}

const nameId = "job-name";

function JobName({ name, onRename }: { name: string; onRename(name: string): void }) {
  const [isEdited, setIsEdited] = useState(false);
  if (isEdited) {
    return (
      <div className="job-header-name">
        <InPlace
          label={t.rename}
          value={name}
          onDone={(next, isByKey) => {
            setIsEdited(false);
            if (next !== null) onRename(next);
            if (isByKey) focusSoon(nameId);
          }}
        />
      </div>
    );
  }
  return (
    <h1 className="job-header-name">
      <button
        type="button"
        id={nameId}
        aria-label={t.renameButton(name)}
        title={t.renamed}
        onClick={() => setIsEdited(true)}
      >
        {name}
      </button>
    </h1>
  );
}
