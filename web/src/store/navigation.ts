/** The page's address as state: read by components, changed by `go` (a new step of history) or `refine` (the same step). */

import { useSyncExternalStore } from "react";
import { addressOf, type JobView, type View, viewFrom } from "../document/address.ts";

const listeners = new Set<() => void>();
let address = "";
let view: View = { page: "jobs", archived: false };

function current(): View {
  const now = location.pathname + location.search;
  if (now !== address) {
    address = now;
    view = viewFrom(location.pathname, location.search);
  }
  return view;
}

function tell(): void {
  for (const listener of listeners) listener();
}

function subscribe(listener: () => void): () => void {
  if (listeners.size === 0) addEventListener("popstate", tell);
  listeners.add(listener);
  return () => {
    listeners.delete(listener);
    if (listeners.size === 0) removeEventListener("popstate", tell);
  };
}

export function useView(): View {
  return useSyncExternalStore(subscribe, current);
}

export function go(next: View): void {
  const to = addressOf(next);
  if (to === location.pathname + location.search) return;
  const isOtherPage = next.page !== current().page;
  history.pushState(null, "", to);
  if (isOtherPage) scrollTo(0, 0);
  tell();
}

export function refine(next: View): void {
  history.replaceState(null, "", addressOf(next));
  tell();
}

/** Changes part of the job's view; does nothing on other pages. */
export function goWithin(part: Partial<JobView>): void {
  const now = current();
  if (now.page === "job") go({ ...now, ...part });
}

export function refineWithin(part: Partial<JobView>): void {
  const now = current();
  if (now.page === "job") refine({ ...now, ...part });
}
