/** What journeys do on a page again and again, by the names that a reader sees or hears. */

import { expect } from "vitest";
import type { Locator, Page } from "playwright-core";

/** Waits until the plan of the job is there and nothing is being computed. */
export async function settled(page: Page): Promise<void> {
  await page.getByRole("application").locator("svg").first().waitFor();
  await page.getByRole("progressbar").waitFor({ state: "detached", timeout: 60_000 });
  await page.evaluate(() => document.fonts.ready);
}

export const titleBlock = (page: Page): Locator => page.getByRole("region", { name: "Title block" });
export const sheets = (page: Page): Locator => page.getByRole("navigation", { name: "Sheets" });
export const plan = (page: Page): Locator => page.getByRole("application");

export async function showSheet(page: Page, name: "House" | "Options" | "Coverage"): Promise<void> {
  await sheets(page).getByRole("link", { name }).click();
  await expect.poll(() => page.title()).toMatch(new RegExp(`^${name}`));
}
