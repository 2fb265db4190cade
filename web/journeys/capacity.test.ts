/** Will it carry: the bottleneck is read, what it is about is found on the plan, a remedy is applied and taken back. */

import { text as textOf } from "node:stream/consumers";
import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { AssessmentAnswer, CapacityAnswer, DesignOption, JobAnswer } from "../src/engine/types.ts";
import { sizes } from "./lib/browser.ts";
import { collisions, labelsOf, planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, settled, showSheet, titleBlock } from "./lib/steps.ts";

const { calls, visit } = shared();

const capacityOf = (job: string, design: string) =>
  calls.get<CapacityAnswer>(`/jobs/${job}/capacity?design=${encodeURIComponent(design)}`);

/** A share as the page writes it to a reader in Britain. */
const share = (value: number, digits = 1): string => `${(100 * value).toFixed(digits)} %`;

/** What is read, with plain spaces. */
const plain = (text: string): string => text.replace(/[\u00a0\u202f]/g, " ");

const schedule = (page: Page, name: string) => page.getByRole("radio", { name }).check({ force: true });
const busyHour = (page: Page) => page.getByRole("region", { name: /^Busy hour/ });

/** The remedy that gives each flow its turn before the line, if a design has it. */
const fairQueue = (option: DesignOption) =>
  option.findings
    .flatMap((finding) => finding.remedies ?? [])
    .find((remedy) => remedy.edits?.some((edit) => edit.path.endsWith("/line_queue")));

test("the bottleneck is read, and an activity is followed to its device and back", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await page.getByRole("button", { name: "Open a copy of Split-level house" }).click();
  await page.getByRole("heading", { name: /Split-level house/ }).waitFor();
  await settled(page);
  const job = jobOf(page);
  const { options } = await planOf(calls, job);
  const [best] = options as [DesignOption];
  const { capacity, joins } = await capacityOf(job, best.id);

  await showSheet(page, "Capacity");
  await settled(page);
  const headline = plain(await busyHour(page).innerText());
  const { bottleneck } = capacity;
  if (!bottleneck) throw new Error("nothing is full first in this home");
  expect(headline).toContain(share(bottleneck.load));
  expect(headline).toContain(`the limit is ${share(bottleneck.limit, 0)}`);
  expect(await titleBlock(page).innerText()).toContain("Busy-hour headroom");
  // It is marked on the plan by its shape, on the storey where it is, and explained.
  await page.getByRole("radio", { name: "All storeys" }).check({ force: true });
  await settled(page);
  await page.getByRole("radio", { name: "All storeys" }).waitFor();
  expect(await plan(page).locator("[data-device]").count()).toBeGreaterThan(5);

  // One row for each radio, with what is taken of its channel.
  const channels = page.getByRole("table", { name: "Schedule of channels" });
  const rows = channels.getByRole("row").filter({ has: page.getByRole("rowheader") });
  expect(await rows.count()).toBe(capacity.channels.length);
  for (const [index, channel] of capacity.channels.entries()) {
    const row = plain(await rows.nth(index).innerText());
    expect(row).toContain(share(channel.busy.median));
    expect(row).toContain(share(channel.busy.poor));
  }
  expect(await channels.getByRole("img").count()).toBe(capacity.channels.length);

  // An activity of a device that joins by radio: its row puts a ring around the device and tells of it in the margin.
  const activity = capacity.activities.find(({ device }) => joins.some((j) => j.device === device && j.part));
  if (!activity) throw new Error("nothing that is done is served by radio");
  await schedule(page, "Schedule of activities");
  const activities = page.getByRole("table", { name: "Schedule of activities" });
  const row = activities.getByRole("row").filter({ hasText: `, ${activity.id}` });
  await row.getByRole("button").click();
  const ring = plan(page).locator(`[data-device="${activity.device}"] .plan-selected`);
  await expect.poll(() => ring.count()).toBe(1);
  expect(page.url()).toContain(`selected=activity%3A${activity.id}`);
  const join = joins.find(({ device }) => device === activity.device);
  const details = page
    .locator(".details")
    .filter({ has: page.getByRole("button", { name: "Clear selection" }) });
  expect((await details.innerText()).toLowerCase()).toContain(join?.part ?? "");
  // The address keeps it.
  await page.reload();
  await settled(page);
  await expect.poll(() => ring.count()).toBe(1);
  expect(await row.getByRole("button").getAttribute("aria-pressed")).toBe("true");

  // And back: another device on the plan marks what it does.
  const other = capacity.activities.find(({ device }) => device !== activity.device);
  if (!other) throw new Error("only one thing is done");
  const place = await plan(page).locator(`[data-device="${other.device}"]`).boundingBox();
  if (!place) throw new Error("the device is not drawn");
  await page.mouse.click(place.x + place.width / 2, place.y + place.height / 2);
  await expect.poll(() => page.url()).toContain(`selected=device%3A${other.device}`);
  const marked = activities.getByRole("row").filter({ hasText: `, ${other.id}` });
  expect(await marked.getByRole("button").getAttribute("aria-pressed")).toBe("true");
  await window.end();
});

test("every schedule is shown, has an address and is exported", async () => {
  const job = await calls.demo("split-level");
  const { options } = await planOf(calls, job);
  const [best] = options as [DesignOption];
  const { capacity, joins, radio_plan } = await capacityOf(job, best.id);
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/capacity`);
  await settled(page);
  const counts: [string, number][] = [
    ["Schedule of channels", capacity.channels.length],
    ["Schedule of devices", joins.length],
    ["Schedule of activities", capacity.activities.length],
    ["The line", 2],
    ["Schedule of uplinks", capacity.uplinks.length],
    ["Schedule of recordings", capacity.recordings.length],
    ["Channel plan", radio_plan.radios.length],
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
    expect(file.suggestedFilename()).toMatch(/^split-level-house-.*\.csv$/);
    expect(text.trim().split("\r\n").length, name).toBe(count + 1);
    await page.reload();
    await settled(page);
    await expect.poll(() => rows.count(), { message: name }).toBe(count);
  }
  // Those not met first, if that is asked for.
  await schedule(page, "Schedule of activities");
  await page.getByRole("checkbox", { name: "Not met first" }).check();
  expect(page.url()).toContain("order=unmet");
  const met = page
    .getByRole("table", { name: "Schedule of activities" })
    .getByRole("row")
    .getByRole("cell")
    .filter({ hasText: /^\d+\.\d\s%$/ });
  const shares = (await met.allInnerTexts()).map((text) => Number.parseFloat(text));
  const numUnmet = capacity.activities.filter(({ met: share }) => share !== null && share < 0.95).length;
  expect(shares.slice(0, numUnmet).every((value) => value < 95)).toBe(true);
  expect(shares.slice(numUnmet).every((value) => value >= 95)).toBe(true);
  await window.end();
});

test("a fair queue is applied to a kept design with one click, and undone with one", async () => {
  const job = await calls.demo("split-level");
  // A slow way out, a transfer that fills it, and a design with the plain queue that a router has by itself.
  await calls.post(`/jobs/${job}/edits`, {
    base_revision: 1,
    label: "A slower line",
    edits: [
      { kind: "set", path: "site/lines/line-1/up", value: 20e6 },
      { kind: "set", path: "household/activities/view-1/greedy", value: true },
      { kind: "set", path: "household/activities/view-1/busy_share", value: 0.6 },
    ],
  });
  const [best] = (await planOf(calls, job)).options as [DesignOption];
  await calls.post(`/jobs/${job}/edits`, {
    base_revision: 2,
    label: "Keep",
    edits: [
      {
        kind: "insert",
        path: "designs",
        value: { ...best.design, id: "own-1", line_queue: { kind: "plain" } },
      },
    ],
  });
  const { option } = await calls.get<AssessmentAnswer>(`/jobs/${job}/assessment?design=own-1`);
  const remedy = fairQueue(option);
  if (!remedy) throw new Error("nothing would be mended by a fair queue");
  const queueOf = async () => {
    const { document } = await calls.get<JobAnswer>(`/jobs/${job}`);
    const kept = document.designs?.find(({ id }) => id === "own-1");
    return kept?.line_queue?.kind ?? "plain";
  };
  expect(await queueOf()).toBe("plain");
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${job}/capacity?design=own-1&schedule=line`);
  await settled(page);
  const line = page.getByText(/^The design has a (plain|fair) queue/);
  expect(await line.innerText()).toContain("plain queue");
  const before = await busyHour(page).innerText();
  const name = remedy.text.replaceAll("`", "");
  await page
    .getByRole("button", { name: name.charAt(0).toUpperCase() + name.slice(1) })
    .first()
    .click();
  await page.getByRole("button", { name: /^Saved.*revision 4/ }).waitFor();
  await expect.poll(() => line.innerText(), { timeout: 60_000 }).toContain("fair queue");
  await settled(page);
  expect(await queueOf()).toBe("fair");
  // The finding is gone with what it was about.
  await expect.poll(() => page.getByRole("button", { name: /its turn before the line/ }).count()).toBe(0);
  const undo = page.getByRole("button", { name: "Undo" });
  expect(await undo.getAttribute("title")).toContain(remedy.text);
  await undo.click();
  await page.getByRole("button", { name: /^Saved.*revision 5/ }).waitFor();
  await expect.poll(() => line.innerText(), { timeout: 60_000 }).toContain("plain queue");
  await settled(page);
  expect(await queueOf()).toBe("plain");
  expect(await busyHour(page).innerText()).toBe(before);
  await window.end();
});

test("labels stay apart at a desk, on a tablet and on a telephone", async () => {
  const job = await calls.demo("three-generation-terrace");
  await planOf(calls, job);
  const window = await visit();
  const { page } = window;
  for (const size of ["desk", "tablet", "phone"] as const) {
    await page.setViewportSize(sizes[size]);
    await window.to(`/jobs/${job}/capacity`);
    await settled(page);
    expect(collisions(await labelsOf(page)), size).toEqual([]);
    const { width, clientWidth } = await page.evaluate(() => ({
      width: document.documentElement.scrollWidth,
      clientWidth: document.documentElement.clientWidth,
    }));
    expect(width, `${size} scrolls sideways`).toBeLessThanOrEqual(clientWidth);
  }
  await window.end();
});
