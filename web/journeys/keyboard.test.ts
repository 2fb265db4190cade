/** All that the pointer does, keys do: a demo home is opened, read and compared without a pointer. */

import type { Locator, Page } from "playwright-core";
import { expect, test } from "vitest";
import { contours, houseOf, planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, settled, titleBlock } from "./lib/steps.ts";

const { calls, visit } = shared();

/** Whether the element with the focus is marked as such, by an outline, a ring or its own edge. */
async function isFocusSeen(page: Page): Promise<boolean> {
  return await page.evaluate(() => {
    const focused = document.activeElement;
    if (!focused || focused === document.body) return true;
    // A radio button of a bar is drawn by the text beside it.
    const drawn = [focused, focused.nextElementSibling, focused.parentElement];
    return drawn.some((element) => {
      if (!element) return false;
      const { outlineStyle, outlineWidth, boxShadow } = getComputedStyle(element);
      return (outlineStyle !== "none" && Number.parseFloat(outlineWidth) >= 1) || boxShadow !== "none";
    });
  });
}

/** Goes on with Tab until the focus is on the element; each stop on the way must be seen. */
async function tabTo(page: Page, to: Locator, key: "Tab" | "Shift+Tab" = "Tab"): Promise<void> {
  await to.waitFor({ state: "attached" });
  for (let presses = 0; presses < 150; presses++) {
    if (await to.evaluate((element) => element === document.activeElement)) return;
    await page.keyboard.press(key);
    const where = await page.evaluate(() => document.activeElement?.outerHTML.slice(0, 120));
    expect(await isFocusSeen(page), where).toBe(true);
  }
  throw new Error(`${to} is not reached with ${key}`);
}

test("a demo home is opened, its options compared and its coverage probed with keys alone", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await tabTo(page, page.getByRole("button", { name: "Open a copy of Split-level house" }));
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: /Split-level house/ }).waitFor();
  await settled(page);
  // The focus goes along to the new page.
  await expect.poll(() => page.evaluate(() => document.activeElement?.id)).toBe("sheet");
  const { options } = await planOf(calls, jobOf(page));
  const [first, second] = options.map((option) => option.design.name);

  await tabTo(page, page.getByRole("link", { name: /^Options/ }), "Shift+Tab");
  await page.keyboard.press("Enter");
  await expect.poll(() => page.title()).toMatch(/^Options/);
  const pin = page.getByRole("button", { name: `Pin ${first} for comparison` });
  await tabTo(page, pin);
  await page.keyboard.press("Space");
  expect(await pin.getAttribute("aria-pressed")).toBe("true");
  await tabTo(page, page.getByRole("button", { name: `Show ${second} on the plan` }));
  await page.keyboard.press("Enter");
  await expect.poll(() => titleBlock(page).innerText()).toContain("Changes against the pinned option");
  const note = page.getByRole("button", { name: /^Show keynote/ }).first();
  await tabTo(page, note);
  await page.keyboard.press("Enter");
  await expect.poll(() => note.getAttribute("aria-pressed")).toBe("true");

  // The same by single keys: the option before, another pin, the sheet, band and quantity.
  await page.keyboard.press("[");
  await expect.poll(() => page.locator(".job-header-design").innerText()).toBe(first);
  await page.keyboard.press("i");
  await expect.poll(() => page.url()).not.toContain("pinned=");
  await page.keyboard.press("c");
  await expect.poll(() => page.title()).toMatch(/^Coverage/);
  await settled(page);
  await expect.poll(() => contours(page)).toMatch(/M.*L/);
  const before = await contours(page);
  await tabTo(page, page.getByRole("radio", { name: "Any band" }), "Shift+Tab");
  await page.keyboard.press("ArrowRight");
  expect(await page.getByRole("radio", { name: "2.4 GHz" }).isChecked()).toBe(true);
  await expect.poll(() => contours(page), { timeout: 20_000 }).not.toBe(before);
  await page.keyboard.press("b");
  await expect.poll(() => page.url()).toContain("band=5");
  await page.keyboard.press("q");
  await expect.poll(() => page.url()).toContain("quantity=rate");
  for (const [key, storey] of [
    ["PageUp", "Upper level"],
    ["PageDown", "Lower level"],
  ] as const) {
    await page.keyboard.press(key);
    await expect.poll(() => plan(page).getAttribute("aria-label")).toContain(storey);
  }

  // The probe: to the plan, along with the arrows, and away with Escape.
  await settled(page);
  await tabTo(page, plan(page));
  await page.keyboard.press("ArrowRight");
  const panel = page.getByRole("region", { name: "Probe" });
  const legs = panel.getByRole("table", { name: "How the level comes about" });
  const at = async () => (await legs.count()) > 0 && (await legs.innerText());
  await expect.poll(at, { timeout: 20_000 }).toBeTruthy();
  const here = await at();
  await page.keyboard.press("Shift+ArrowUp");
  await expect.poll(at, { timeout: 20_000 }).not.toBe(here);
  // It is said as well as drawn.
  await expect
    .poll(async () => (await page.getByRole("status").allInnerTexts()).join(" "))
    .toMatch(/bit\/s|dBm/);
  await page.keyboard.press("Escape");
  await expect.poll(() => legs.count()).toBe(0);
  await page.keyboard.press("n");
  await expect.poll(() => page.url()).toContain("selected=");
  await page.keyboard.press("+");
  await page.keyboard.press("f");
  await window.end();
});

test("the keys are listed, can be switched off, and focus comes back", async () => {
  const id = await calls.demo("studio");
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  const options = page.getByRole("link", { name: /^Options/ });
  await options.focus();
  await page.keyboard.press("?");
  const dialog = page.getByRole("dialog", { name: "Keys" });
  await dialog.waitFor();
  for (const name of [
    "House sheet",
    "Next option",
    "Storey above",
    "Next band",
    "Undo",
    "This list of keys",
  ]) {
    expect(await dialog.getByText(name, { exact: true }).count(), name).toBe(1);
  }
  // The focus stays in the dialog.
  for (let i = 0; i < 6; i++) {
    await page.keyboard.press("Tab");
    const isOutside = await page.evaluate(() => {
      const focused = document.activeElement;
      return focused !== document.body && focused?.closest("dialog") === null;
    });
    expect(isOutside).toBe(false);
  }
  await dialog.getByRole("checkbox", { name: "Single keys do something" }).focus();
  await page.keyboard.press("Space");
  await page.keyboard.press("Escape");
  await dialog.waitFor({ state: "detached" });
  await expect.poll(() => options.evaluate((element) => element === document.activeElement)).toBe(true);
  await page.keyboard.press("c");
  await page.waitForTimeout(200);
  expect(await page.title()).toMatch(/^House/);
  await window.end();
});

test("the text twin tells the rooms, parts and findings that the plan shows", async () => {
  const id = await calls.demo("split-level");
  const { options } = await planOf(calls, id);
  const best = options[0];
  const house = await houseOf(calls, id);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${id}/coverage`);
  await settled(page);
  await page.getByRole("button", { name: "Show schedule" }).click();
  await page.getByText("The whole plan as tables").click();
  const chosen = page.getByRole("group", { name: "Storey" }).getByRole("radio", { checked: true });
  const name = await chosen.getAttribute("aria-label");
  const data = house.storeys.find((s) => s.name === name);
  if (!data || !best) throw new Error(`no storey is called “${name}”`);
  const heads = async (caption: string) =>
    await page.getByRole("table", { name: caption, exact: true }).getByRole("rowheader").allInnerTexts();
  expect((await heads("Rooms")).sort()).toEqual(data.rooms.map((room) => room.name).sort());
  const inRooms = new Set(data.rooms.map((room) => room.id));
  const parts = best.design.parts
    .filter((part) => inRooms.has(part.room))
    .map((part) => part.id.toLowerCase());
  if (parts.length > 0)
    expect((await heads("Parts")).map((t) => t.toLowerCase()).sort()).toEqual(parts.sort());
  expect((await heads("Outlets")).length).toBe(data.outlets.length);
  expect((await heads("Doors, windows and openings")).length).toBe(data.openings.length);
  // Chosen in the tables, it is chosen on the plan.
  await page.getByRole("table", { name: "Rooms", exact: true }).getByRole("button").first().click();
  expect(await plan(page).locator(".plan-selected-room").count()).toBe(1);
  // Findings are read in the margin of the options sheet, each with its severity and source.
  await page.keyboard.press("o");
  await expect.poll(() => page.title()).toMatch(/^Options/);
  const notes = page.getByRole("region", { name: /^Keynotes/ });
  await expect.poll(() => notes.locator(".keynote-message").count()).toBe(best.findings.length);
  const told = (await notes.innerText()).replaceAll(/\s+/g, " ");
  for (const finding of best.findings) expect(told).toContain(finding.message.replaceAll("`", ""));
  await window.end();
});
