/** Will it stay up: services are read, a cut is found on the plan, things are switched off and on again. */

import { text as textOf } from "node:stream/consumers";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import { chosenService, componentsOf, protectedFirst } from "../src/document/staying.ts";
import type { DesignOption, StayingAnswer, WhatIfAnswer } from "../src/engine/types.ts";
import { sizes } from "./lib/browser.ts";
import { planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, settled, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();

const stayingOf = (job: string, design: string) =>
  calls.get<StayingAnswer>(`/jobs/${job}/resilience?design=${encodeURIComponent(design)}`);

const schedule = (page: Page, name: string) => page.getByRole("radio", { name }).check({ force: true });

async function bestOf(job: string): Promise<DesignOption> {
  const [best] = (await planOf(calls, job)).options as [DesignOption];
  return best;
}

test("what must stay up comes first, and a cut of it is drawn on the plan", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await page.getByRole("button", { name: "Open a copy of Split-level house" }).click();
  await page.getByRole("heading", { name: /Split-level house/ }).waitFor();
  await settled(page);
  const job = jobOf(page);
  const best = await bestOf(job);
  const { staying } = await stayingOf(job, best.id);
  await showSheet(page, "Resilience");
  await settled(page);
  const table = page.getByRole("table", { name: "Schedule of services" });
  const rows = table.getByRole("rowheader");
  await expect.poll(() => rows.count()).toBe(staying.services.length);
  const protectedCount = staying.services.filter((service) => service.must_stay_up).length;
  const said = await rows.allInnerTexts();
  expect(said.map((text) => text.includes("must stay up"))).toEqual(said.map((_, i) => i < protectedCount));
  // The costliest cut is a part here; it is shown where that part is.
  const service = chosenService(staying, null);
  await schedule(page, "Cuts of the service");
  await page
    .getByRole("table", { name: /^Cuts of / })
    .getByRole("rowheader")
    .nth(0)
    .getByRole("button")
    .click();
  await expect.poll(() => page.url()).toMatch(/cut=\d+/);
  const place = Number(/cut=(\d+)/.exec(page.url())?.[1]);
  const part = service?.cuts[place]?.members.find(({ kind }) => kind === "part");
  if (!part) throw new Error("the costliest cut holds no part");
  const mark = plan(page).locator(`[data-mark="cut:${part.id}"]`);
  await expect.poll(() => mark.count()).toBe(1);
  await page.reload();
  await settled(page);
  await expect.poll(() => mark.count()).toBe(1);
  await window.end();
});

test("what is switched off takes services down; going back switches it on again", async () => {
  const job = await calls.demo("split-level");
  const best = await bestOf(job);
  const { staying } = await stayingOf(job, best.id);
  const parts = componentsOf(staying).filter(({ kind }) => kind === "part");
  const worst = parts.toSorted((a, b) => b.takes_down.length - a.takes_down.length)[0];
  if (!worst) throw new Error("no part can fail");
  const { what_if } = await calls.get<WhatIfAnswer>(
    `/jobs/${job}/what-if?design=${encodeURIComponent(best.id)}&off=${worst.id}`,
  );
  const down = what_if.services.filter(({ state }) => state === "down");
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/resilience?stay=components&storey=all`);
  await settled(page);
  await page
    .getByRole("button", { name: new RegExp(`^Switch off ${worst.id}$`, "i") })
    .first()
    .click();
  await expect.poll(() => page.url()).toContain(`off=${worst.id}`);
  const panel = page.getByRole("region", { name: "What if" });
  const count = down.length === 1 ? "1 service is down" : `${down.length} services are down`;
  await panel.getByText(new RegExp(`^${count}`)).waitFor();
  await expect.poll(() => page.getByTestId("announcer").innerText()).toContain(count);
  expect(await panel.getByRole("list", { name: "Who loses what" }).getByRole("listitem").count()).toBe(
    what_if.services.filter(({ state }) => state !== "up").length,
  );
  await expect.poll(() => plan(page).locator(`[data-mark="off:${worst.id}"]`).count()).toBeGreaterThan(0);
  const devices = down.filter(({ kind }) => kind === "connection");
  expect(await plan(page).locator('[data-mark^="lost:"]').count()).toBe(devices.length);
  // The mains as well, for a time, and both back one by one.
  await page.getByRole("button", { name: "Switch off mains" }).first().click();
  await page.getByRole("spinbutton", { name: "Mains or circuit out for, minutes" }).fill("30");
  await expect.poll(() => page.url()).toContain("minutes=30");
  await page.getByRole("button", { name: "Undo the last switch" }).click();
  await expect.poll(() => new URL(page.url()).searchParams.get("off")).toBe(worst.id);
  await page.keyboard.press("u");
  await expect.poll(() => new URL(page.url()).searchParams.get("off")).toBeNull();
  await page.goBack();
  await expect.poll(() => new URL(page.url()).searchParams.get("off")).toBe(worst.id);
  await window.end();
});

test("a thing is switched on the plan itself, and with a key", async () => {
  const job = await calls.demo("studio");
  const best = await bestOf(job);
  const { staying } = await stayingOf(job, best.id);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/resilience`);
  await settled(page);
  const component = componentsOf(staying).find(
    ({ kind, id }) => kind === "part" && best.design.parts.some((part) => part.id === id),
  );
  if (!component) throw new Error("no part can fail");
  await page.getByRole("radio", { name: "Press to switch" }).check({ force: true });
  // Step to it with keys: choosing is switching.
  const window_ = plan(page);
  await window_.focus();
  const offNow = () => new URL(page.url()).searchParams.get("off") ?? "";
  for (let step = 0; step < 12 && offNow() === ""; step += 1) await page.keyboard.press("n");
  const switchedOff = offNow();
  expect(staying.components.map(({ id }) => id)).toContain(switchedOff);
  await page.getByRole("radio", { name: "Press to choose" }).check({ force: true });
  await window.to(`/jobs/${job}/resilience?selected=part%3A${component.id}`);
  await settled(page);
  await page.keyboard.press("x");
  await expect.poll(offNow).toBe(component.id);
  await page.keyboard.press("x");
  await expect.poll(offNow).toBe("");
  await window.end();
});

test("every schedule is shown, has an address and is exported", async () => {
  const job = await calls.demo("split-level");
  const best = await bestOf(job);
  const { staying, changes } = await stayingOf(job, best.id);
  const service = protectedFirst(staying.services)[0];
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/resilience`);
  await settled(page);
  const counts: [string, RegExp, number][] = [
    ["Schedule of services", /^Schedule of services$/, staying.services.length],
    ["Cuts of the service", /^Cuts of /, service?.cuts.length ?? 0],
    ["What matters to the service", /^What matters to /, service?.importances.length ?? 0],
    ["Schedule of components", /^Schedule of components$/, componentsOf(staying).length],
    ["Schedule of outages", /^Schedule of outages$/, staying.outages.length],
    ["Schedule of batteries", /^Schedule of batteries$/, staying.batteries.length],
    ["Single changes and what they save", /^Single changes/, changes.length],
  ];
  for (const [name, table, count] of counts) {
    await schedule(page, name);
    await page.getByRole("heading", { name, level: 2 }).waitFor();
    const rows = page.locator("#schedule").getByRole("table", { name: table }).getByRole("rowheader");
    await expect.poll(() => rows.count(), { message: name }).toBe(count);
    const [file] = await Promise.all([
      page.waitForEvent("download"),
      page
        .locator("#schedule")
        .getByRole("button", { name: /^Export / })
        .click(),
    ]);
    const text = await textOf(await file.createReadStream());
    expect(text.trim().split("\r\n").length, name).toBe(count + 1);
    await page.reload();
    await settled(page);
    await expect.poll(() => rows.count(), { message: name }).toBe(count);
  }
  await window.end();
});

test("nothing scrolls sideways at any size", { timeout: 300_000 }, async () => {
  const job = await calls.demo("studio");
  await planOf(calls, job);
  const window = await visit();
  const { page } = window;
  for (const size of ["desk", "tablet", "phone"] as const) {
    await page.setViewportSize(sizes[size]);
    for (const part of ["services", "cuts", "importances", "components", "outages", "changes"]) {
      await window.to(`/jobs/${job}/resilience?stay=${part}&off=router`);
      await settled(page);
      const { width, clientWidth } = await page.evaluate(() => ({
        width: document.documentElement.scrollWidth,
        clientWidth: document.documentElement.clientWidth,
      }));
      expect(width, `${part} at ${size} scrolls sideways`).toBeLessThanOrEqual(clientWidth);
    }
  }
  await window.end();
});
