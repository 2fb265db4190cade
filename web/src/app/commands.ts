/** What can be done on a job's page. Keys, and the list of keys, call the same commands. */

import { useEffect, useMemo } from "react";
import type { JobView, Selected } from "../document/address.ts";
import { switched } from "../document/staying.ts";
import { storeyAbove } from "../document/storeys.ts";
import { bandOrder, quantityOrder } from "../features/coverage/CoverageBar.tsx";
import type { KeyLine } from "../features/settings/KeysDialog.tsx";
import { partTag } from "../plan/parts.ts";
import { announce } from "../store/announce.ts";
import type { JobState } from "../store/jobState.ts";
import { goWithin } from "../store/navigation.ts";
import { useSettings } from "../store/settings.ts";
import { text } from "../text.ts";

export interface Command {
  id: keyof typeof text.commands;
  /** A single key, or `Control+` and a key; the latter holds even when single keys are off. */
  key: string;
  isEnabled: boolean;
  run(): void;
}

interface Doors {
  toggleSchedule(): void;
  openKeys(): void;
  openHistory(): void;
}

function after<Value>(list: readonly Value[], value: Value): Value {
  return list[(list.indexOf(value) + 1) % list.length] as Value;
}

export function commandsOf(view: JobView, state: JobState, doors: Doors): Command[] {
  const { answer, planning, shown, pinned, house, storey, edits } = state;
  const options = planning.plan?.options ?? [];
  const at = options.findIndex((option) => option.id === shown?.id);
  const showOption = (index: number) => {
    const option = options[index];
    if (!option) return;
    goWithin({ design: option.id });
    announce(text.options.shownNow(option.design.name));
  };
  const showStorey = (steps: 1 | -1) => {
    const next = house && storeyAbove(house, storey, steps);
    if (!next) return;
    goWithin({ storey: next });
    announce(text.job.storeyShown(house.storeys.find((s) => s.id === next)?.name ?? next));
  };
  const switchable = view.sheet === "resilience" ? thingIdOf(view.selected) : null;
  const isPinned = pinned !== null && pinned.id === shown?.id;
  return [
    { id: "house", key: "h", isEnabled: true, run: () => goWithin({ sheet: "house" }) },
    { id: "options", key: "o", isEnabled: true, run: () => goWithin({ sheet: "options" }) },
    { id: "coverage", key: "c", isEnabled: true, run: () => goWithin({ sheet: "coverage" }) },
    { id: "capacity", key: "a", isEnabled: true, run: () => goWithin({ sheet: "capacity" }) },
    {
      id: "cabling",
      key: "l",
      isEnabled: true,
      run: () => goWithin({ sheet: "cabling", sort: null, find: "" }),
    },
    { id: "power", key: "e", isEnabled: true, run: () => goWithin({ sheet: "power", sort: null, find: "" }) },
    { id: "resilience", key: "r", isEnabled: true, run: () => goWithin({ sheet: "resilience" }) },
    { id: "cost", key: "m", isEnabled: true, run: () => goWithin({ sheet: "cost" }) },
    {
      id: "switch",
      key: "x",
      isEnabled: switchable !== null,
      run: () => {
        if (switchable === null) return;
        goWithin({ off: switched(view.off, switchable) });
        const { switchedOff, switchedOn } = text.resilience.whatIf;
        const name = partTag(switchable);
        announce(view.off.includes(switchable) ? switchedOn(name) : switchedOff(name));
      },
    },
    {
      id: "switchUndo",
      key: "u",
      isEnabled: view.sheet === "resilience" && view.off.length > 0,
      run: () => {
        goWithin({ off: view.off.slice(0, -1) });
        announce(text.resilience.whatIf.switchedOn(partTag(view.off.at(-1) ?? "")));
      },
    },
    { id: "storeyUp", key: "PageUp", isEnabled: house !== null, run: () => showStorey(1) },
    { id: "storeyDown", key: "PageDown", isEnabled: house !== null, run: () => showStorey(-1) },
    { id: "nextOption", key: "]", isEnabled: at < options.length - 1, run: () => showOption(at + 1) },
    { id: "previousOption", key: "[", isEnabled: at > 0, run: () => showOption(at - 1) },
    {
      id: "pin",
      key: "i",
      isEnabled: shown !== null,
      run: () => {
        if (!shown) return;
        goWithin({ pinned: isPinned ? null : shown.id });
        announce(isPinned ? text.options.unpinnedNow : text.options.pinnedNow(shown.design.name));
      },
    },
    {
      id: "band",
      key: "b",
      isEnabled: view.sheet === "coverage",
      run: () => {
        const band = after(bandOrder, view.band);
        goWithin({ band });
        announce(text.coverage.bandNames[band]);
      },
    },
    {
      id: "quantity",
      key: "q",
      isEnabled: view.sheet === "coverage",
      run: () => {
        const quantity = after(quantityOrder, view.quantity);
        goWithin({ quantity });
        announce(text.coverage.quantityNames[quantity]);
      },
    },
    { id: "schedule", key: "s", isEnabled: true, run: doors.toggleSchedule },
    { id: "history", key: "y", isEnabled: true, run: doors.openHistory },
    { id: "keys", key: "?", isEnabled: true, run: doors.openKeys },
    {
      id: "undo",
      key: "Control+z",
      isEnabled: answer?.can_undo ?? false,
      run: () => edits.undo(answer?.undo_label ?? null),
    },
    {
      id: "redo",
      key: "Control+Shift+z",
      isEnabled: answer?.can_redo ?? false,
      run: () => edits.redo(answer?.redo_label ?? null),
    },
  ];
}

/** What can be switched off of what is selected, by its id alone. */
function thingIdOf(selected: Selected | null): string | null {
  switch (selected?.kind) {
    case "part":
    case "device":
    case "line":
      return selected.id;
    case "component":
      return selected.id.slice(selected.id.indexOf(":") + 1);
    default:
      return null;
  }
}

const shownKeys: Record<string, string> = {
  PageUp: "Page Up",
  PageDown: "Page Down",
  "Control+z": "Ctrl Z",
  "Control+Shift+z": "Ctrl Shift Z",
};

export function keyLines(commands: readonly Command[]): KeyLine[] {
  return commands.map((command) => ({
    label: text.commands[command.id],
    keys: shownKeys[command.key] ?? command.key.toUpperCase(),
    isAlways: command.key.startsWith("Control+"),
  }));
}

function isTyping(target: EventTarget | null): boolean {
  if (!(target instanceof HTMLElement)) return false;
  if (target instanceof HTMLInputElement)
    return !["radio", "checkbox", "button", "file"].includes(target.type);
  return (
    target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement || target.isContentEditable
  );
}

/** The command's key of an event, as commands write it. */
export function keyOf(event: KeyboardEvent): string | null {
  if (event.altKey) return null;
  const isControl = event.ctrlKey || event.metaKey;
  if (!isControl) return event.key;
  return `Control+${event.shiftKey ? "Shift+" : ""}${event.key.toLowerCase()}`;
}

export function useKeys(commands: readonly Command[]): void {
  const hasKeys = useSettings((settings) => settings.hasKeys);
  const byKey = useMemo(() => new Map(commands.map((command) => [command.key, command])), [commands]);
  useEffect(() => {
    const listen = (event: KeyboardEvent) => {
      if (event.defaultPrevented || isTyping(event.target) || document.querySelector("dialog[open]")) return;
      const key = keyOf(event);
      if (key === null || (!hasKeys && !key.startsWith("Control+"))) return;
      const command = byKey.get(key);
      if (!command?.isEnabled) return;
      event.preventDefault();
      command.run();
    };
    addEventListener("keydown", listen);
    return () => removeEventListener("keydown", listen);
  }, [byKey, hasKeys]);
}
