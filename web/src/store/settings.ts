/** What the reader chose for this browser: theme, keys, name on edits. Kept where storage allows it. */

import { create } from "zustand";

export type Theme = "system" | "light" | "dark";

interface Settings {
  theme: Theme;
  /** Whether single keys do something; Control with a key always does. */
  hasKeys: boolean;
  /** Free text that is kept with edits. */
  who: string;
  setTheme(theme: Theme): void;
  setKeys(hasKeys: boolean): void;
  setWho(who: string): void;
}

function read(key: string): string | null {
  try {
    return localStorage.getItem(`wallplate.${key}`);
  } catch {
    return null;
  }
}

function write(key: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(`wallplate.${key}`);
    else localStorage.setItem(`wallplate.${key}`, value);
  } catch {
    // No storage: the choice holds until the page is left.
  }
}

function themeFrom(text: string | null): Theme {
  return text === "light" || text === "dark" ? text : "system";
}

export const useSettings = create<Settings>()((set) => ({
  theme: themeFrom(read("theme")),
  hasKeys: read("keys") !== "off",
  who: read("who") ?? "",
  setTheme: (theme) => {
    write("theme", theme === "system" ? null : theme);
    dispatchEvent(new CustomEvent("wallplate-theme", { detail: theme }));
    set({ theme });
  },
  setKeys: (hasKeys) => {
    write("keys", hasKeys ? null : "off");
    set({ hasKeys });
  },
  setWho: (who) => {
    write("who", who === "" ? null : who);
    set({ who });
  },
}));
