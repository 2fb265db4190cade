/** A modal dialog: the browser's own, so that focus moves in and back, Escape closes, and the page behind is inert. */

import { type ReactNode, useEffect, useId, useRef } from "react";
import { text } from "../text.ts";

interface Props {
  title: string;
  onClose(): void;
  children: ReactNode;
}

export function Dialog({ title, onClose, children }: Props) {
  const element = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  useEffect(() => {
    const dialog = element.current;
    const before = document.activeElement;
    if (dialog && !dialog.open) dialog.showModal();
    return () => {
      dialog?.close();
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  return (
    <dialog ref={element} className="dialog" aria-labelledby={titleId} onClose={onClose}>
      <div className="dialog-head">
        <h2 id={titleId}>{title}</h2>
        <button type="button" className="button quiet" onClick={onClose}>
          {text.close}
        </button>
      </div>
      {children}
    </dialog>
  );
}
