/** How is it built, and what feeds it: a cable is followed from its row to its way and back, schedules become files. */

import { text as textOf } from "node:stream/consumers";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { CablingAnswer, DesignOption } from "../src/engine/types.ts";
import { sizes } from "./lib/browser.ts";
import { collisions, houseOf, labelsOf, planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { plan, settled, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();

const cablingOf = (job: string, design: string) =>
  calls.get<CablingAnswer>(`/jobs/${job}/cabling?design=${encodeURIComponent(design)}`);

/** What is read, with plain spaces. */
const plain = (text: string): string => text.replace(/[\u00a0\u202f]/g, " ");

const schedule = (page: Page, name: string) =>
  page.getByRole("radio", { name, exact: true }).check({ force: true });

interface Wired {
  option: DesignOption;
  answer: CablingAnswer;
}

/** The option of a demo home with the most cables. */
async function mostWired(job: string): Promise<Wired> {
  const { options } = await planOf(calls, job);
  const all: Wired[] = [];
  for (const option of options) all.push({ option, answer: await cablingOf(job, option.id) });
  const [most] = all.sort((a, b) => b.answer.wiring.routes.length - a.answer.wiring.routes.length);
  if (!most || most.answer.wiring.routes.length === 0) throw new Error("no option has a cable");
  return most;
}

test("a cable is followed from its row to its way on the plan, to its holes, and back", async () => {
  const job = await calls.demo("three-generation-terrace");
  const { option, answer } = await mostWired(job);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/options?design=${option.id}`);
  await settled(page);
  await showSheet(page, "Cabling");
  await settled(page);
  // How good the ways are proven to be, and what was searched for that.
  const { gap, graph_places: places } = answer.wiring;
  const headline = plain(await page.getByRole("region", { name: /^Cabling/ }).innerText());
  if (!gap) throw new Error("nothing is proven of ways that are laid");
  expect(headline).toMatch(/at most \d+\.\d+ %/);
  expect(headline).toContain(`${places.toLocaleString("en-GB")} places`);
  expect(await page.getByRole("region", { name: "Cautions of this work" }).innerText()).not.toBe("");

  const cables = page.getByRole("table", { name: "Schedule of cables" });
  expect(await cables.getByRole("rowheader").count()).toBe(answer.wires.cables.length);
  const route = answer.wiring.routes.find(({ holes }) => holes.length > 0) ?? answer.wiring.routes[0];
  if (!route) throw new Error("no cable is laid");
  await cables.getByRole("button", { name: route.label, exact: true }).click();
  await expect.poll(() => page.url()).toContain(`selected=cable%3A${route.link}`);
  await expect.poll(() => plan(page).locator(".plan-wire-chosen").count()).toBeGreaterThan(0);
  const details = page.getByRole("region", { name: `Cable ${route.label}` });
  expect(await details.getByRole("listitem").count()).toBeGreaterThan(0);
  // The address keeps it.
  await page.reload();
  await settled(page);
  await expect.poll(() => plan(page).locator(".plan-wire-chosen").count()).toBeGreaterThan(0);

  const [hole] = route.holes;
  if (hole !== undefined) {
    await schedule(page, "Schedule of holes and fire seals");
    const row = page.getByRole("table", { name: "Schedule of holes and fire seals" });
    const button = row.getByRole("button", { name: hole, exact: true });
    expect(await button.getAttribute("aria-pressed")).toBe("true");
    await button.click();
    await expect.poll(() => plan(page).locator(`[data-hole="${hole}"]`).count()).toBe(1);
    await expect.poll(() => plan(page).locator(".plan-selected").count()).toBe(1);
  }
  await window.end();
});

test("a line of the plan marks its row", async () => {
  const job = await calls.demo("split-level");
  const { option, answer } = await mostWired(job);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/cabling?design=${option.id}`);
  await settled(page);
  // With keys: objects are gone through until one is a cable.
  await plan(page).focus();
  for (let i = 0; i < 60 && !page.url().includes("selected=cable"); i++) await page.keyboard.press("n");
  const link = decodeURIComponent(page.url().split("selected=cable%3A")[1] ?? "").split("&")[0];
  const label = answer.wiring.routes.find((route) => route.link === link)?.label;
  if (label === undefined) throw new Error("no cable was reached by keys");
  const row = page.getByRole("table", { name: "Schedule of cables" });
  const button = row.getByRole("button", { name: label, exact: true });
  expect(await button.getAttribute("aria-pressed")).toBe("true");
  await window.end();
});

test("schedules of cables and of power are shown, have an address and are exported", async () => {
  const job = await calls.demo("three-generation-terrace");
  const { option, answer } = await mostWired(job);
  const { wiring, wires, design } = answer;
  const window = await visit();
  const { page } = window;
  const sheets: [string, [string, number][]][] = [
    [
      "cabling",
      [
        ["Schedule of cables", wires.cables.length],
        ["Schedule of holes and fire seals", wiring.holes.length],
        ["Schedule of cables side by side", wires.bundles.length],
        ["Schedule of ports", wires.ports.reduce((sum, { ports }) => sum + ports.length, 0)],
        ["Schedule of panels", wires.panels.reduce((sum, { rows }) => sum + rows.length, 0)],
      ],
    ],
    [
      "power",
      [
        ["Schedule of supplies over data cables", wires.supplies.length],
        ["Schedule of powered parts", wires.supplies.reduce((sum, { fed }) => sum + fed.length, 0)],
        ["Schedule of feeds", (design.feeds ?? []).length],
      ],
    ],
  ];
  for (const [sheet, counts] of sheets) {
    await window.to(`/jobs/${job}/${sheet}?design=${option.id}`);
    await settled(page);
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
  }
  await window.end();
});

test("labels of cables stay apart, on every storey and all at once, at a desk, on a tablet and on a telephone", async () => {
  for (const demo of ["three-generation-terrace", "semi-detached-garden-office", "top-floor-rental"]) {
    const job = await calls.demo(demo);
    const house = await houseOf(calls, job);
    const { options } = await planOf(calls, job);
    const window = await visit();
    const { page } = window;
    for (const size of ["desk", "tablet", "phone"] as const) {
      await page.setViewportSize(sizes[size]);
      for (const storey of [...house.storeys.map(({ id }) => id), "all"]) {
        for (const sheet of ["cabling", "power"]) {
          await window.to(`/jobs/${job}/${sheet}?design=${options[0]?.id}&storey=${storey}`);
          await settled(page);
          expect(collisions(await labelsOf(page)), `${demo} ${size} ${storey} ${sheet}`).toEqual([]);
        }
      }
      const { width, clientWidth } = await page.evaluate(() => ({
        width: document.documentElement.scrollWidth,
        clientWidth: document.documentElement.clientWidth,
      }));
      expect(width, `${demo} ${size} scrolls sideways`).toBeLessThanOrEqual(clientWidth);
    }
    await window.end();
  }
}, 400_000);
