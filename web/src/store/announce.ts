/** What the live region says. Every change that is not plain from the focus is announced once. */

import { create } from "zustand";

interface Announcement {
  text: string;
  /** Counts up, so that the same words twice are spoken twice. */
  count: number;
}

export const useAnnouncement = create<Announcement>()(() => ({ text: "", count: 0 }));

export function announce(text: string): void {
  useAnnouncement.setState((before) => ({ text, count: before.count + 1 }));
}
