/** Every view has an address: reloaded it shows the same, and back and forward go through what was seen. */

import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { plan, settled, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();

/** What a reader would say is shown. */
async function shownOn(page: Page): Promise<Record<string, unknown>> {
  await settled(page);
  const pressed = page.locator("[aria-pressed=true]");
  return {
    title: await page.title(),
    plan: await plan(page).getAttribute("aria-label"),
    design: await page.locator(".job-header-design").allInnerTexts(),
    chosen: await page
      .getByRole("main")
      .getByRole("radio", { checked: true })
      .evaluateAll((all) => all.map((radio) => radio.getAttribute("aria-label"))),
    pressed: await pressed.evaluateAll((all) =>
      all.map((b) => b.getAttribute("aria-label") ?? b.textContent),
    ),
    pinned: await page.getByText(/^Changes against the pinned option/).allInnerTexts(),
    selected: await page.getByRole("region", { name: "Title block" }).count(),
  };
}

test("views of a job come back by reload, by back and by forward", async () => {
  const id = await calls.demo("split-level");
  const { options } = await planOf(calls, id);
  const [first, second] = options.map((option) => option.design.name);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  const seen: { address: string; shown: Record<string, unknown> }[] = [];
  const note = async () => {
    const shown = await shownOn(page);
    const address = page.url();
    expect(seen.map((s) => s.address)).not.toContain(address);
    seen.push({ address, shown });
  };
  await note();
  await page.getByRole("radio", { name: "All storeys" }).check({ force: true });
  await note();
  await showSheet(page, "Options");
  await page.getByRole("radio", { checked: false }).first().check({ force: true });
  await note();
  await page.getByRole("button", { name: `Pin ${first} for comparison` }).click();
  await note();
  await page.getByRole("button", { name: `Show ${second} on the plan` }).click();
  await expect.poll(() => page.locator(".job-header-design").innerText()).toBe(second);
  await note();
  await showSheet(page, "Coverage");
  await note();
  await page.getByRole("radio", { name: "5 GHz" }).check({ force: true });
  await note();
  await page.getByRole("radio", { name: /Rate/ }).check({ force: true });
  await note();
  await showSheet(page, "Capacity");
  await note();
  await page.getByRole("radio", { name: "Schedule of activities" }).check({ force: true });
  await note();
  await page.getByRole("table", { name: "Schedule of activities" }).getByRole("button").first().click();
  await note();
  for (const name of ["Cabling", "Power", "Resilience", "Cost"] as const) {
    await showSheet(page, name);
    await note();
    // Another of its schedules.
    await page.locator(".schedule-bar").getByRole("radio", { checked: false }).first().click({ force: true });
    await note();
  }
  // What is noted after a change may still be under way when it is noted; the same after a reload shows that it was not.
  for (const { address, shown } of [...seen].reverse()) {
    await page.goto(address);
    expect(await shownOn(page), address).toEqual(shown);
  }
  await page.goto(seen[0]?.address ?? "");
  await settled(page);
  await page.getByRole("radio", { name: "All storeys" }).check({ force: true });
  await showSheet(page, "Coverage");
  await page.getByRole("radio", { name: "5 GHz" }).check({ force: true });
  const end = await shownOn(page);
  await page.goBack();
  await expect.poll(() => page.getByRole("radio", { name: "Any band" }).isChecked()).toBe(true);
  await page.goBack();
  await expect.poll(() => page.title()).toMatch(/^House/);
  expect(await shownOn(page)).toEqual(seen[1]?.shown);
  await page.goBack();
  await expect.poll(() => plan(page).getAttribute("aria-label")).toBe(seen[0]?.shown.plan);
  for (let i = 0; i < 3; i++) await page.goForward();
  await expect.poll(() => page.url()).toMatch(/band=5/);
  expect(await shownOn(page)).toEqual(end);
  await window.end();
});

test("pages that are no job have addresses too", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await page.getByRole("radio", { name: "Archived" }).check({ force: true });
  await expect.poll(() => page.url()).toMatch(/archived=true$/);
  await page.reload();
  expect(await page.getByRole("radio", { name: "Archived" }).isChecked()).toBe(true);
  await page.goBack();
  await expect.poll(() => page.getByRole("radio", { name: "Current" }).isChecked()).toBe(true);
  await page.getByRole("link", { name: /From an architect’s model/ }).click();
  await page.getByRole("heading", { level: 1, name: "From an architect’s model" }).waitFor();
  await page.reload();
  await page.getByRole("heading", { level: 1, name: "From an architect’s model" }).waitFor();
  await page.goBack();
  await page.getByRole("heading", { level: 1, name: "Jobs" }).waitFor();
  await window.end();
});
