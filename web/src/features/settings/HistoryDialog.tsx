/** Every change of the job, newest first. */

import { moment } from "../../document/format.ts";
import { useHistory } from "../../store/queries.ts";
import { text } from "../../text.ts";
import { Dialog } from "../../ui/Dialog.tsx";
import { Failure } from "../../ui/Notice.tsx";

const t = text.job;

interface Props {
  id: string;
  revision: number;
  onClose(): void;
}

export function HistoryDialog({ id, revision, onClose }: Props) {
  const history = useHistory(id, revision, true);
  return (
    <Dialog title={t.historyTitle} onClose={onClose}>
      {history.isError && <Failure error={history.error} title={t.historyFailed} />}
      {history.isPending && <p className="quiet-line">{text.loading}</p>}
      {history.data?.length === 0 && <p className="quiet-line">{t.historyNone}</p>}
      <ol className="history">
        {(history.data ?? []).map((entry) => (
          <li key={entry.seq} className={entry.undone ? "undone" : undefined}>
            <span className="history-revision figure">{entry.revision}</span>
            <span className="history-label">
              <span className="history-what">{entry.label}</span>
              <span className="under">
                {moment(entry.at, navigator.language)}
                {entry.who ? ` ${t.by(entry.who)}` : ""}
                {entry.kind === "edit" ? "" : `, ${t.historyKind[entry.kind]}`}
                {entry.undone ? `, ${t.historyUndone}` : ""}
              </span>
            </span>
          </li>
        ))}
      </ol>
    </Dialog>
  );
}
