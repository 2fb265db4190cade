/** What does it cost: the price adds up, schedules are sorted, searched and exported, terms are changed and taken back. */

import { text as textOf } from "node:stream/consumers";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { CostAnswer, DesignOption, JobAnswer, OfferAnswer } from "../src/engine/types.ts";
import { sizes } from "./lib/browser.ts";
import { planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, settled, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();

const costOf = (job: string, design: string) =>
  calls.get<CostAnswer>(`/jobs/${job}/cost?design=${encodeURIComponent(design)}`);

const amount = (money: string | null | undefined): number => Number(money?.split(" ")[0] ?? Number.NaN);
/** What is read, with plain spaces. */
const plain = (text: string): string => text.replace(/[\u00a0\u202f]/g, " ");
/** A sum as the page writes it, without its currency: to the cent at least, and no digit less than is known. */
const sum = (money: string): string =>
  amount(money).toLocaleString("en-GB", { minimumFractionDigits: 2, maximumFractionDigits: 6 });

const schedule = (page: Page, name: string) => page.getByRole("radio", { name }).check({ force: true });
const margin = (page: Page) => page.getByRole("complementary", { name: "Notes and title block" });

async function bestOf(job: string): Promise<DesignOption> {
  const [best] = (await planOf(calls, job)).options as [DesignOption];
  return best;
}

test("the price is read line by line; its parts add up to the cent", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await page.getByRole("button", { name: "Open a copy of Split-level house" }).click();
  await page.getByRole("heading", { name: /Split-level house/ }).waitFor();
  await settled(page);
  const job = jobOf(page);
  const best = await bestOf(job);
  const { quote } = await costOf(job, best.id);
  const { price } = quote;
  if (!price) throw new Error("the demo home has no price");
  await showSheet(page, "Cost");
  await settled(page);
  const bill = plain(await margin(page).getByRole("table", { name: "How the price is made up" }).innerText());
  for (const own of [price.parts, price.labour, price.overhead, price.margin, price.net, price.total]) {
    expect(bill).toContain(sum(own));
  }
  expect(bill).toContain(`${sum(price.low)}`);
  expect(bill).toContain(`${sum(price.high)}`);
  const cents = (money: string) => Math.round(amount(money) * 100);
  const parts = quote.take_off.reduce((all, line) => all + cents(line.price ?? ""), 0);
  expect(parts).toBe(cents(price.parts));
  const net = [price.parts, price.labour, price.overhead, price.margin, price.to_minimum];
  expect(net.reduce((all, money) => all + cents(money), 0)).toBe(cents(price.net));
  // What is chosen in the take-off is marked on the plan, where it is drawn.
  const line = quote.take_off.find(({ part }) => best.design.parts.some((placed) => placed.part === part));
  if (!line) throw new Error("no part of the design is in the take-off");
  await page.getByRole("radio", { name: "All storeys" }).check({ force: true });
  await settled(page);
  await page
    .getByRole("table", { name: "Take-off schedule" })
    .getByRole("button", { name: line.name })
    .click();
  await expect.poll(() => page.url()).toContain(`selected=goods%3A${line.part}`);
  await expect.poll(() => plan(page).locator('[data-mark^="about:"]').count()).toBeGreaterThan(0);
  await window.end();
});

test("every schedule has an address, is searched, sorted and exported", async () => {
  const job = await calls.demo("split-level");
  const best = await bestOf(job);
  const { quote, cautions } = await costOf(job, best.id);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/cost`);
  await settled(page);
  const counts: [string, number][] = [
    ["Take-off schedule", quote.take_off.length],
    ["Schedule of spools", quote.spools.flatMap(({ spools }) => spools).length],
    ["Schedule of orders", quote.orders.length],
    ["Schedule of work", quote.labour.length],
    ["Unit rates for extras", quote.extras.length],
    ["Assumptions, risks and exclusions", quote.statements.length],
    ["Cautions of the work", cautions.length],
  ];
  for (const [name, count] of counts) {
    await schedule(page, name);
    await page.getByRole("heading", { name, level: 2 }).waitFor();
    const rows = page.getByRole("table", { name, exact: true }).getByRole("rowheader");
    await expect.poll(() => rows.count(), { message: name }).toBe(count);
    const [file] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("button", { name: `Export ${name} as CSV` }).click(),
    ]);
    const text = await textOf(await file.createReadStream());
    expect(text.trim().split("\r\n").length, name).toBe(count + 1);
    await page.reload();
    await settled(page);
    await expect.poll(() => rows.count(), { message: name }).toBe(count);
  }
  await schedule(page, "Take-off schedule");
  const table = page.getByRole("table", { name: "Take-off schedule" });
  const price = table.getByRole("button", { name: "Price", exact: true });
  await price.click();
  await price.click();
  expect(page.url()).toContain("sort=price.down");
  const dearest = quote.take_off.toSorted((a, b) => (amount(b.price) || -1) - (amount(a.price) || -1))[0];
  expect(await table.getByRole("rowheader").first().innerText()).toContain(dearest?.name ?? "");
  await page.getByRole("searchbox", { name: "Search in Take-off schedule" }).fill("no such part");
  await expect.poll(() => table.getByRole("rowheader").count()).toBe(0);
  await page.reload();
  await settled(page);
  expect(await page.getByRole("searchbox").inputValue()).toBe("no such part");
  await window.end();
});

test("terms are changed in one step, the price follows, and one step takes them back", async () => {
  const job = await calls.demo("split-level");
  const best = await bestOf(job);
  const before = (await costOf(job, best.id)).quote.price;
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/cost?cost=terms`);
  await settled(page);
  await page.getByRole("textbox", { name: "Margin, % of the price without tax" }).fill("96");
  await page.getByRole("button", { name: "Save the terms" }).click();
  await page.getByText("Write a share between 0 and 95 %").waitFor();
  await page.getByRole("textbox", { name: "Margin, % of the price without tax" }).fill("35");
  await page.getByRole("button", { name: "Add a tax" }).click();
  await page.getByRole("textbox", { name: "Name of the tax" }).last().fill("Local tax");
  await page.getByRole("textbox", { name: "Rate, %" }).last().fill("7.5");
  await page.getByRole("button", { name: "Save the terms" }).click();
  await page.getByRole("button", { name: /^Saved.*revision 2/ }).waitFor();
  await settled(page);
  const { document } = await calls.get<JobAnswer>(`/jobs/${job}`);
  expect(document.terms).toMatchObject({ margin: "35 %", taxes: [{ name: "Local tax", rate: "7.5 %" }] });
  const after = (await costOf(job, best.id)).quote.price;
  expect(amount(after?.net)).toBeGreaterThan(amount(before?.net));
  const bill = margin(page).getByRole("table", { name: "How the price is made up" });
  await expect.poll(() => bill.innerText(), { timeout: 60_000 }).toContain("Local tax");
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("button", { name: /^Saved.*revision 3/ }).waitFor();
  await settled(page);
  await expect.poll(async () => (await costOf(job, best.id)).quote.price?.total).toBe(before?.total);
  await expect.poll(() => bill.innerText(), { timeout: 60_000 }).not.toContain("Local tax");
  await window.end();
});

test("offers stand side by side, with what each adds in figures; one is shown", async () => {
  const job = await calls.demo("split-level");
  await planOf(calls, job);
  const { steps } = await calls.get<OfferAnswer>(`/jobs/${job}/offer`);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/cost?cost=offers`);
  await settled(page);
  const offers = page.getByRole("list", { name: "Offers side by side" }).locator(".offer");
  await expect.poll(() => offers.count()).toBe(steps.length);
  for (const [place, step] of steps.entries()) {
    const said = plain(await offers.nth(place).innerText());
    expect(said).toContain(Math.round(step.price).toLocaleString("en-GB"));
    expect((said.match(/ instead of /g) ?? []).length).toBe(step.adds.length + step.costs.length);
  }
  const other = steps.find(({ recommended }) => !recommended);
  if (other) {
    await offers.nth(steps.indexOf(other)).getByRole("button").click();
    await expect.poll(() => page.url()).toContain(`design=${other.option}`);
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
    for (const part of ["price", "take-off", "spools", "work", "statements", "offers", "terms"]) {
      await window.to(`/jobs/${job}/cost?cost=${part}`);
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
