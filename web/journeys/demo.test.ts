/** A demo home is chosen, its options are read and compared, its coverage is looked at. */

import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { DesignOption, JobAnswer, Probe } from "../src/engine/types.ts";
import { collisions, contours, houseOf, labelsOf, onScreen, planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, settled, showSheet, titleBlock } from "./lib/steps.ts";

const { calls, visit } = shared();

const figure = (option: DesignOption, id: string) =>
  option.figures.find((f) => f.id === id && (f.subject === option.id || f.subject === option.design.id));

/** The path of the coverage after it has become another than `before`. */
async function otherContours(page: Page, before: string): Promise<string> {
  await expect.poll(() => contours(page), { timeout: 20_000 }).not.toBe(before);
  await settled(page);
  return await contours(page);
}

test("options are read, one is pinned, another chosen, and the title block says what changes", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await page.getByRole("button", { name: "Open a copy of Split-level house" }).click();
  await page.getByRole("heading", { name: /Split-level house/ }).waitFor();
  await settled(page);
  const { options } = await planOf(calls, jobOf(page));
  const [first, second] = options as [DesignOption, DesignOption];
  await showSheet(page, "Options");
  const schedule = page.getByRole("table", { name: "Designs that the planner found, best first" });
  const rows = schedule.getByRole("row").filter({ has: page.getByRole("rowheader") });
  expect(await rows.count()).toBe(options.length);
  for (const [index, option] of options.entries()) {
    const row = rows.nth(index);
    expect(await row.getByRole("rowheader").innerText()).toContain(option.design.name);
    const coverage = figure(option, "coverage")?.value;
    if (coverage != null) expect(await row.innerText()).toContain(coverage.toFixed(1));
  }
  await page.getByRole("button", { name: `Pin ${first.design.name} for comparison` }).click();
  await page.getByRole("button", { name: `Show ${second.design.name} on the plan` }).click();
  const block = titleBlock(page);
  await expect
    .poll(() => block.innerText())
    .toContain(`Changes against the pinned option, ${first.design.name}`);
  expect(await block.innerText()).toContain(second.design.name);
  // The change is that of the two prices that the interface gives.
  const [before, after] = [figure(first, "price"), figure(second, "price")];
  if (before?.value == null || after?.value == null) throw new Error("a demo home has no price");
  const change = new Intl.NumberFormat("en-GB", {
    style: "currency",
    currency: before.unit,
    currencyDisplay: "narrowSymbol",
    maximumFractionDigits: 0,
    signDisplay: "exceptZero",
  }).format(after.value - before.value);
  expect((await block.innerText()).replace("−", "-")).toContain(change.replace("−", "-"));
  // The plan shows the parts of the one that is chosen.
  const drawn = (await plan(page).locator("text").allTextContents()).map((t) => t.toLowerCase());
  for (const part of second.design.parts.filter((p) => p.mounting === "ceiling")) {
    expect(drawn).toContain(part.id.toLowerCase());
  }
  await window.end();
});

test("contours change with band, quantity and storey, and their labels stay apart", async () => {
  const job = await calls.demo("three-generation-terrace");
  await planOf(calls, job);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/coverage`);
  await settled(page);
  await expect.poll(() => contours(page)).toMatch(/M.*L/);
  const any = await contours(page);
  await page.getByRole("radio", { name: "2.4 GHz" }).check({ force: true });
  const low = await otherContours(page, any);
  expect(collisions(await labelsOf(page))).toEqual([]);
  await page.getByRole("radio", { name: "6 GHz" }).check({ force: true });
  const high = await otherContours(page, low);
  expect(collisions(await labelsOf(page))).toEqual([]);
  await page.getByRole("radio", { name: /Probability/ }).check({ force: true });
  const probability = await otherContours(page, high);
  const storeys = page.getByRole("group", { name: "Storey" }).getByRole("radio");
  await storeys.and(page.locator(":not(:checked)")).first().check({ force: true });
  await otherContours(page, probability);
  expect(collisions(await labelsOf(page))).toEqual([]);
  // What is drawn is said in words as well: the address, and the schedule's caption.
  expect(page.url()).toMatch(/band=6/);
  await window.end();
});

test("a probe tells its value, and its legs add up to the level", async () => {
  const job = await calls.demo("split-level");
  const { options } = await planOf(calls, job);
  const house = await houseOf(calls, job);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/coverage`);
  await settled(page);
  const storeyName = await page.getByRole("group", { name: "Storey" }).getByRole("radio", { checked: true });
  const shown = (await storeyName.getAttribute("aria-label")) ?? "";
  const storey = house.storeys.find((s) => s.name === shown);
  const room = storey?.rooms[0];
  if (!storey || !room) throw new Error(`no storey is called “${shown}”`);
  const [at] = await onScreen(page, [room.inside]);
  if (!at) throw new Error("the point is nowhere");
  await page.mouse.move(at[0] - 3, at[1]);
  await page.mouse.move(at[0], at[1]);
  const panel = page.getByRole("region", { name: "Probe" });
  await panel.getByText(new RegExp(`^${room.name}, `)).waitFor();
  const legs = panel.getByRole("table", { name: "How the level comes about" });
  const numbers = (texts: string[]) =>
    texts.map((text) => Number(text.replace("−", "-").replace(/[^\d.-]/g, "")));
  const steps = numbers(await legs.getByRole("cell").allInnerTexts());
  const level = numbers([await panel.locator("dt:text-is('Level') + dd").innerText()])[0] as number;
  expect(steps.length).toBeGreaterThan(1);
  // Each is rounded to a tenth.
  const sum = steps.reduce((all, step) => all + step, 0);
  expect(Math.abs(sum - level)).toBeLessThanOrEqual(0.05 * (steps.length + 1) + 1e-9);
  // The same point, asked for by another program.
  const [x, y] = room.inside.map((n) => Math.round(n / 0.05) * 0.05) as [number, number];
  const query = new URLSearchParams({ design: options[0]?.id ?? "", storey: storey.id, band: "any" });
  const { value } = await calls.get<Probe>(`/jobs/${job}/probe?${query}&x=${x}&y=${y}`);
  // The pointer may be half a pixel beside it.
  expect(Math.abs((value.level_dbm ?? 0) - level)).toBeLessThan(3);
  await page.mouse.move(2, 2);
  await expect.poll(() => legs.count()).toBe(0);

  // A click holds it, so that the pointer can go to its paths; each is then pointed out on the plan.
  await page.mouse.click(at[0], at[1]);
  const paths = panel.getByRole("table", { name: "Paths, the strongest first" });
  await paths.waitFor();
  const drawn = plan(page).locator("[data-path]");
  await expect.poll(() => drawn.count()).toBeGreaterThan(1);
  expect(await drawn.count()).toBeLessThanOrEqual(6);
  await paths.getByRole("button").nth(1).hover();
  await expect.poll(() => plan(page).locator("[data-path='1']").getAttribute("opacity")).toBe("1");
  expect(await plan(page).locator("[data-path='0']").getAttribute("opacity")).toBe("0.2");
  await page.mouse.move(2, 2);
  await expect.poll(() => plan(page).locator("[data-path='0']").getAttribute("opacity")).toBe("1");
  await page.mouse.click(at[0], at[1]);
  await page.mouse.move(2, 2);
  await expect.poll(() => legs.count()).toBe(0);
  await window.end();
});

test("a keynote is followed from the plan to its note and back", async () => {
  const job = await calls.demo("studio");
  const { options } = await planOf(calls, job);
  const finding = options[0]?.findings.find((f) => f.place);
  if (!finding?.place) throw new Error("no finding of the best option has a place");
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/options?storey=${finding.place.storey}`);
  await settled(page);
  const mark = plan(page).locator("[data-keynote]").first();
  const number = ((await mark.textContent()) ?? "").trim();
  await mark.click();
  const note = page.getByRole("button", { name: `Show keynote ${number} on the plan` });
  await expect.poll(() => note.getAttribute("aria-pressed")).toBe("true");
  const item = page.getByRole("listitem").filter({ has: note });
  await expect.poll(() => item.innerText()).toMatch(/Measured.*Limit/s);
  expect(await item.innerText()).toContain("Source");
  expect(await item.getByRole("list", { name: "What would mend it" }).count()).toBe(1);
  // And back: the note puts a ring around its mark.
  await note.click();
  await expect.poll(() => note.getAttribute("aria-pressed")).toBe("false");
  expect(await plan(page).locator("circle.plan-selected").count()).toBe(0);
  await note.click();
  await expect.poll(() => plan(page).locator("circle.plan-selected").count()).toBe(1);
  expect(page.url()).toContain("selected=keynote");
  await window.end();
});

test("a remedy is applied with one click and undone with one", async () => {
  const job = await calls.demo("studio");
  const { options } = await planOf(calls, job);
  const [best] = options as [DesignOption];
  const finding = best.findings.find((f) => f.rule === "coverage.room-below-target");
  if (!finding) throw new Error("the best option has no room below its target");
  const window = await visit();
  const { page } = window;
  // The remedies of today's findings are words; one with edits is put beside them on the way to the page. What the
  // program makes of the edits is its own.
  const text = "change what these rooms ask for to 400 Mbit/s";
  const edits = [
    { kind: "set", path: "household/targets/passing/down", value: 4e8 },
    { kind: "set", path: "household/targets/passing/up", value: 1e8 },
  ];
  await page.routeWebSocket(/\/live$/, (line) => {
    const server = line.connectToServer();
    server.onMessage((message) => {
      const said = JSON.parse(String(message));
      for (const option of said.plan?.options ?? []) {
        for (const found of option.findings) {
          if (found.rule === finding.rule) found.remedies = [...(found.remedies ?? []), { text, edits }];
        }
      }
      line.send(JSON.stringify(said));
    });
  });
  const target = async () => {
    const { document } = await calls.get<JobAnswer>(`/jobs/${job}`);
    return document.household?.targets?.find((t) => t.id === "passing")?.down;
  };
  const before = await target();
  await window.to(`/jobs/${job}/options`);
  await settled(page);
  const coverage = titleBlock(page).locator(".title-cell").filter({ hasText: "Coverage" });
  const figureBefore = await coverage.textContent();
  await page
    .getByRole("button", { name: /^Change what these rooms ask for/ })
    .first()
    .click();
  await page.getByRole("button", { name: /^Saved.*revision 2/ }).waitFor();
  await settled(page);
  expect(await target()).toBe(4e8);
  await expect.poll(() => coverage.textContent(), { timeout: 60_000 }).not.toBe(figureBefore);
  const undo = page.getByRole("button", { name: "Undo" });
  expect(await undo.getAttribute("title")).toContain(text);
  await undo.click();
  await page.getByRole("button", { name: /^Saved.*revision 3/ }).waitFor();
  await settled(page);
  expect(await target()).toBe(before);
  await expect.poll(() => coverage.textContent(), { timeout: 60_000 }).toBe(figureBefore);
  await window.end();
});
