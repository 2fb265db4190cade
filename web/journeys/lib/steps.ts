/** What journeys do on a page again and again, by the names that a reader sees or hears. */

import type { Locator, Page } from "playwright-core";
import { expect } from "vitest";

/** Waits until the plan is there, of the present revision, and nothing is being computed. */
export async function settled(page: Page): Promise<void> {
  await page.getByRole("application").locator("svg").first().waitFor();
  await page.getByRole("progressbar").waitFor({ state: "detached", timeout: 60_000 });
  await page.locator(".plan-stale, .title-block.stale").waitFor({ state: "detached", timeout: 60_000 });
  if (/\/coverage/.test(page.url())) await page.locator(".plan-key, .notice").first().waitFor();
  if (/\/(capacity|cabling|power|cost|resilience)/.test(page.url()))
    await page.locator(".schedule-bar, .notice").first().waitFor();
  await page.evaluate(() => document.fonts.ready);
}

export const titleBlock = (page: Page): Locator => page.getByRole("region", { name: "Title block" });
export const sheets = (page: Page): Locator => page.getByRole("navigation", { name: "Sheets" });
export const plan = (page: Page): Locator => page.getByRole("application");

export async function showSheet(
  page: Page,
  name: "House" | "Options" | "Coverage" | "Capacity" | "Cabling" | "Power" | "Resilience" | "Cost",
): Promise<void> {
  await sheets(page).getByRole("link", { name }).click();
  await expect.poll(() => page.title()).toMatch(new RegExp(`^${name}`));
}

/** The job that the address is of. */
export function jobOf(page: Page): string {
  const id = /\/jobs\/([^/]+)/.exec(page.url())?.[1];
  if (!id) throw new Error(`${page.url()} is not a job`);
  return decodeURIComponent(id);
}

/** Opens the schedule under the plan if it is shut. */
export async function showSchedule(page: Page): Promise<void> {
  const show = page.getByRole("button", { name: "Show schedule" });
  if (await show.isVisible()) await show.click();
  await page.getByRole("button", { name: "Hide schedule" }).waitFor();
}

export async function renameJob(page: Page, name: string): Promise<void> {
  await page.getByRole("button", { name: /^Rename the job/ }).click();
  await page.getByRole("textbox", { name: "Job name" }).fill(name);
  await page.keyboard.press("Enter");
}

/** Renames a room in the rooms schedule. */
export async function renameRoom(page: Page, from: string, to: string): Promise<void> {
  await page.getByRole("button", { name: `Rename ${from}`, exact: true }).click();
  await page.getByRole("textbox", { name: "Room name" }).fill(to);
  await page.keyboard.press("Enter");
}
