/** What one needs now and then: theme, keys, the name on changes, the job file, the job's notes. */

import { jobFileAddress } from "../../engine/calls.ts";
import { useSettings } from "../../store/settings.ts";
import { text } from "../../text.ts";
import { Dialog } from "../../ui/Dialog.tsx";
import { Field } from "../../ui/Field.tsx";
import { Prose } from "../../ui/Prose.tsx";
import { ThemeChoice } from "./ThemeChoice.tsx";

const t = text.job;

interface Props {
  id: string;
  notes: string[];
  onKeys(): void;
  onHistory(): void;
  onClose(): void;
}

export function MoreDialog({ id, notes, onKeys, onHistory, onClose }: Props) {
  const { who, setWho } = useSettings();
  return (
    <Dialog title={t.moreTitle} onClose={onClose}>
      <div className="more">
        <ThemeChoice isLabelShown />
        <div className="row-actions more-actions">
          <button type="button" className="button" onClick={onHistory}>
            {t.history}
          </button>
          <button type="button" className="button" onClick={onKeys}>
            {t.keys}
          </button>
          <a className="button" href={jobFileAddress(id)} download>
            {t.download}
          </a>
        </div>
        <Field label={t.who} hint={t.whoHint}>
          {(wiring) => (
            <input
              {...wiring}
              type="text"
              value={who}
              maxLength={100}
              onChange={(e) => setWho(e.target.value)}
            />
          )}
        </Field>
        {notes.length > 0 && (
          <>
            <h3 className="dialog-subject">{t.notes}</h3>
            <ul className="plain-list">
              {notes.map((note) => (
                <li key={note}>
                  <Prose text={note} />
                </li>
              ))}
            </ul>
          </>
        )}
      </div>
    </Dialog>
  );
}
