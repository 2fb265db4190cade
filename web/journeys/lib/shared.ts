/** The program and the browser that all journeys share, for the tests of one file. */

import { type Browser, chromium } from "playwright-core";
import { afterAll, beforeAll, inject } from "vitest";
import { anotherTab, type Looks, type Visit, visit } from "./browser.ts";
import { Calls } from "./program.ts";

export interface Shared {
  calls: Calls;
  /** A new window on the program. */
  visit(looks?: Looks): Promise<Visit>;
  anotherTab(of: Visit): Promise<Visit>;
}

export function shared(): Shared {
  const calls = new Calls(inject("origin"));
  let browser: Browser | null = null;
  beforeAll(async () => {
    browser = await chromium.connect(inject("browser"));
  });
  afterAll(async () => {
    await browser?.close();
  });
  return {
    calls,
    visit: async (looks = {}) => await visit(browser as Browser, calls.origin, looks),
    anotherTab: async (of) => await anotherTab(of, calls.origin),
  };
}
