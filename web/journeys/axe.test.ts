/** axe finds nothing against WCAG 2.2 AA or its own best practice: every page, sheet and dialog, in four looks, and each schedule in two. */

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { AxeResults } from "axe-core";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { cablingParts, costParts, powerParts, stayParts } from "../src/document/address.ts";
import { type SizeName, sizes } from "./lib/browser.ts";
import { type DesignOption, houseOf, planOf, storeyOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { plan, settled } from "./lib/steps.ts";

const { calls, visit } = shared();
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

async function violations(page: Page): Promise<string[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  const { violations, passes } = await page.evaluate(async (runOnly): Promise<AxeResults> => {
    const { axe } = window as unknown as { axe: typeof import("axe-core") };
    return await axe.run(document, { runOnly, resultTypes: ["violations"] });
  }, tags);
  // A page on which no rule applies was not looked at.
  expect(passes.length).toBeGreaterThan(5);
  return violations.flatMap((rule) =>
    rule.nodes.map((node) => `${rule.id}: ${node.target.join(" ")} ${node.html}`),
  );
}

/** The page as it is, at a desk and on a telephone, or in the sizes named, light and dark. */
async function inAllLooks(page: Page, looks: readonly SizeName[] = ["desk", "phone"]): Promise<string[]> {
  return await inLooks(
    page,
    looks.flatMap((size) => [[size, "light"] as const, [size, "dark"] as const]),
  );
}

async function inLooks(
  page: Page,
  looks: readonly (readonly [SizeName, "light" | "dark"])[],
): Promise<string[]> {
  const found: string[] = [];
  for (const [size, colorScheme] of looks) {
    await page.setViewportSize(sizes[size]);
    await page.emulateMedia({ colorScheme });
    await page.waitForTimeout(150);
    found.push(...(await violations(page)).map((what) => `${size} ${colorScheme} ${what}`));
  }
  await page.setViewportSize(sizes.desk);
  return found;
}

/** Each view of a sheet: the first with all its details in all looks, the others in two, for only their schedule differs. */
async function ofSheet(
  page: Page,
  views: readonly string[],
  go: (view: string) => Promise<void>,
  looks?: readonly SizeName[],
) {
  for (const [at, view] of views.entries()) {
    await go(view);
    await settled(page);
    if (at === 0) for (const summary of await page.locator("summary").all()) await summary.click();
    expect(
      at === 0
        ? await inAllLooks(page, looks)
        : await inLooks(page, [
            ["desk", "light"],
            ["phone", "dark"],
          ]),
      view,
    ).toEqual([]);
  }
}

test("the pages that are no job", async () => {
  const window = await visit();
  window.allow(/status of 4(04|22)/);
  const { page } = window;
  await calls.demo("studio");
  for (const path of ["/", "/?archived=true", "/import", "/no/such/page"]) {
    await window.to(path);
    await page.getByRole("heading", { level: 1 }).waitFor();
    await page.waitForLoadState("networkidle");
    expect(await inAllLooks(page), path).toEqual([]);
  }
  await window.to("/new");
  await plan(page).locator("svg").first().waitFor();
  expect(await inAllLooks(page), "new home").toEqual([]);
  await page.getByRole("spinbutton", { name: "Bedrooms" }).fill("40");
  await page.locator("[aria-invalid=true], [role=alert]").first().waitFor();
  expect(await inAllLooks(page), "new home that does not fit").toEqual([]);
  await window.end();
});

test("the sheets of a job", async () => {
  const id = await calls.demo("split-level");
  const { options } = await planOf(calls, id);
  const window = await visit();
  const { page } = window;
  const pinned = `pinned=${options[1]?.id}`;
  // One whose radio stands on the storey that is shown, so that it has a handle.
  const house = await houseOf(calls, id);
  const [option, part] =
    options.flatMap((o): [DesignOption, string][] => o.design.radios.map((r) => [o, r.part]))[0] ?? [];
  if (!option || !part) throw new Error("no option has a radio");
  const taken = `coverage?design=${option.id}&storey=${storeyOf(house, option, part)}&selected=part:${part}`;
  for (const view of ["house", "house?storey=all", `options?${pinned}`, "coverage", taken]) {
    await window.to(`/jobs/${id}/${view}`);
    await settled(page);
    for (const summary of await page.locator("summary").all()) await summary.click();
    if (view.startsWith("options")) {
      await page
        .getByRole("button", { name: /^Show keynote/ })
        .first()
        .click();
    }
    if (view === "coverage") {
      await page.getByRole("button", { name: "Show schedule" }).click();
      await page.getByText("The whole plan as tables").click();
      await page.getByRole("combobox", { name: "Probe the middle of a room" }).selectOption({ index: 1 });
      await page.getByText("How the level comes about").waitFor();
      await page
        .getByRole("table", { name: "Paths, the strongest first" })
        .getByRole("button")
        .first()
        .click();
    }
    if (view === taken) {
      await plan(page)
        .getByRole("button", { name: /^Move / })
        .focus();
      await page.keyboard.press("ArrowLeft");
      await page.getByText(/from its place/).waitFor();
    }
    expect(await inAllLooks(page), view).toEqual([]);
  }
  await window.end();
});

test("the capacity sheet, each of its schedules", async () => {
  const id = await calls.demo("split-level");
  const { options } = await planOf(calls, id);
  const window = await visit();
  const { page } = window;
  const part = options[0]?.design.radios[0]?.part;
  await ofSheet(
    page,
    [
      `channels&selected=part:${part}`,
      "devices&selected=device:hub",
      "activities&order=unmet",
      "line",
      "uplinks&storey=all",
      "recordings",
      "plan",
    ],
    (view) => window.to(`/jobs/${id}/capacity?schedule=${view}`),
    ["desk", "tablet", "phone"],
  );
  await window.end();
}, 400_000);

for (const [sheet, parts] of Object.entries({
  cabling: cablingParts,
  power: powerParts,
  resilience: stayParts,
  cost: costParts,
})) {
  test(`the ${sheet} sheet, each of its schedules`, async () => {
    const id = await calls.demo("split-level");
    await planOf(calls, id);
    const window = await visit();
    const { page } = window;
    const key = sheet === "resilience" ? "stay" : sheet;
    await ofSheet(page, parts, (part) => window.to(`/jobs/${id}/${sheet}?${key}=${part}`));
    await window.end();
  }, 400_000);
}

test("the dialogs", async () => {
  const id = await calls.demo("studio");
  await planOf(calls, id);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  const dialog = page.getByRole("dialog");
  await page.keyboard.press("?");
  await dialog.getByRole("heading", { name: "Keys" }).waitFor();
  expect(await inAllLooks(page), "keys").toEqual([]);
  await page.keyboard.press("Escape");
  await page.keyboard.press("y");
  await dialog.getByRole("heading", { name: "History of the job" }).waitFor();
  expect(await inAllLooks(page), "history").toEqual([]);
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "More" }).click();
  await dialog.waitFor();
  expect(await inAllLooks(page), "more").toEqual([]);
  await window.end();
});
