/** The list of keys, and the switch that turns single keys off. */

import { words } from "../../plan/words.ts";
import { useSettings } from "../../store/settings.ts";
import { text } from "../../text.ts";
import { Dialog } from "../../ui/Dialog.tsx";

export interface KeyLine {
  label: string;
  keys: string;
  isAlways: boolean;
}

const t = text.keys;

export function KeysDialog({ lines, onClose }: { lines: KeyLine[]; onClose(): void }) {
  const { hasKeys, setKeys } = useSettings();
  return (
    <Dialog title={t.title} onClose={onClose}>
      <label className="tick">
        <input type="checkbox" checked={hasKeys} onChange={(event) => setKeys(event.target.checked)} />
        {t.enabled}
      </label>
      <p className="section-note">{t.intro}</p>
      <KeyTable lines={lines.filter((line) => !line.isAlways)} />
      <h3 className="dialog-subject">{t.always}</h3>
      <KeyTable lines={lines.filter((line) => line.isAlways)} />
      <h3 className="dialog-subject">{t.plan}</h3>
      <p>{words.keys}</p>
      <p>{words.handleKeys}</p>
    </Dialog>
  );
}

function KeyTable({ lines }: { lines: KeyLine[] }) {
  return (
    <dl className="key-list">
      {lines.map((line) => (
        <div key={line.label}>
          <dt>{line.label}</dt>
          <dd>
            <kbd>{line.keys}</kbd>
          </dd>
        </div>
      ))}
    </dl>
  );
}
