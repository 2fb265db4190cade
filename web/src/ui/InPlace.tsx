/** A name that is edited where it stands: Enter and leaving keep it, Escape leaves it as it was. */

import { useState } from "react";

interface Props {
  label: string;
  value: string;
  /** The new name; nothing when it was left as it was. `isByKey` when the focus should go back to where it came from. */
  onDone(name: string | null, isByKey: boolean): void;
}

export function InPlace({ label, value, onDone }: Props) {
  const [typed, setTyped] = useState(value);
  const finish = (isByKey: boolean) => {
    const name = typed.trim();
    onDone(name === "" || name === value ? null : name, isByKey);
  };
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        finish(true);
      }}
    >
      <input
        className="input"
        aria-label={label}
        value={typed}
        maxLength={120}
        ref={(element) => element?.focus()}
        onFocus={(event) => event.target.select()}
        onChange={(event) => setTyped(event.target.value)}
        onBlur={() => finish(false)}
        onKeyDown={(event) => {
          if (event.key === "Escape") onDone(null, true);
        }}
      />
    </form>
  );
}

/** Puts the focus on an element that is about to be drawn. */
export function focusSoon(id: string): void {
  requestAnimationFrame(() => document.getElementById(id)?.focus());
}
