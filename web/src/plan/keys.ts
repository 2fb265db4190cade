// Keys that every view of the plan has.

import type { House } from "./contract.ts";

export interface KeyActions {
  readonly larger: () => void;
  readonly smaller: () => void;
  readonly fit: () => void;
  readonly next: () => void;
  readonly previous: () => void;
  readonly storey: (id: string) => void;
  readonly clear: () => void;
  readonly choose: () => void;
  readonly house: House;
  /** The storey shown, or `all`. */
  readonly now: string;
}

/** Does what a key asks for. True if the key was one of them. */
export function handleKey(key: string, actions: KeyActions): boolean {
  const storeys = [...actions.house.storeys].sort((a, b) => a.floor_z - b.floor_z);
  const index = storeys.findIndex((s) => s.id === actions.now);
  const go = (to: number): void => {
    const storey = storeys[to];
    if (storey) actions.storey(storey.id);
  };
  if (/^[1-9]$/.test(key)) go(Number(key) - 1);
  else
    switch (key) {
      case "+":
      case "=":
        actions.larger();
        break;
      case "-":
      case "_":
        actions.smaller();
        break;
      case "f":
      case "F":
      case "Home":
        actions.fit();
        break;
      case "n":
      case "N":
        actions.next();
        break;
      case "p":
      case "P":
        actions.previous();
        break;
      case "0":
        actions.storey("all");
        break;
      case "PageUp":
        go(index < 0 ? storeys.length - 1 : index + 1);
        break;
      case "PageDown":
        go(index < 0 ? 0 : index - 1);
        break;
      case "Enter":
        actions.choose();
        break;
      case "Escape":
        actions.clear();
        break;
      default:
        return false;
    }
  return true;
}
