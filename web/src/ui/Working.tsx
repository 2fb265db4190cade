/** Long work: what is being done, how far it is, and a button that stops it. */

import type { Progress } from "../document/progress.ts";
import { text } from "../text.ts";

interface Props {
  title: string;
  progress: Progress | null;
  onCancel?: () => void;
}

export function Working({ title, progress, onCancel }: Props) {
  const share = progress && progress.total > 0 ? progress.done / progress.total : null;
  const step = progress ? text.work.step(progress.step, progress.done, progress.total) : text.work.starting;
  return (
    <div className="working">
      <div className="working-words">
        <span className="working-title">{title}</span>
        <span className="working-step">{step}</span>
      </div>
      <progress aria-label={title} max={1} {...(share === null ? {} : { value: share })} />
      {onCancel && (
        <button type="button" className="button" onClick={onCancel}>
          {text.cancel}
        </button>
      )}
    </div>
  );
}
