/**
 * A dozen pictures that people have looked at, against what is drawn now. After a change that is meant, look at the new
 * ones and keep them: `npm run baselines`. What differs is left in `journeys/shots/`.
 */

import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import pixelmatch from "pixelmatch";
import type { Page } from "playwright-core";
import { type Browser, chromium } from "playwright-core";
import { PNG } from "pngjs";
import { afterAll, beforeAll, expect, inject, test } from "vitest";
import { type Looks, visit } from "./lib/browser.ts";
import { planOf } from "./lib/plan.ts";
import { Program } from "./lib/program.ts";
import { settled } from "./lib/steps.ts";

const kept = join(import.meta.dirname, "baselines");
const shots = join(import.meta.dirname, "shots");
const isRenewed = process.env.BASELINES === "renew";

/** Share of the pixels that may differ: the edges of letters, where another release of the browser smooths them. */
const tolerance = 0.001;

let program: Program;
let browser: Browser;

beforeAll(async () => {
  // A program of its own, for the start page shows which jobs there are.
  program = await Program.start();
  browser = await chromium.connect(inject("browser"));
  mkdirSync(kept, { recursive: true });
  mkdirSync(shots, { recursive: true });
});
afterAll(async () => {
  await browser.close();
  await program.remove();
});

interface Picture extends Looks {
  name: string;
  /** The demo home, if it is a sheet of one. */
  demo?: string;
  path: string;
  act?(page: Page): Promise<void>;
}

const probe = async (page: Page) => {
  await page.getByRole("combobox", { name: "Probe the middle of a room" }).selectOption({ index: 1 });
  await page.getByText("How the level comes about").waitFor();
};
const pin = async (page: Page) => {
  await page
    .getByRole("button", { name: /^Pin .* for comparison$/ })
    .nth(1)
    .click();
};

// The pages without jobs come first: they show that there are none.
const pictures: Picture[] = [
  { name: "jobs", path: "/" },
  { name: "jobs-phone-dark", path: "/", size: "phone", theme: "dark" },
  { name: "new-home", path: "/new" },
  { name: "import-tablet", path: "/import", size: "tablet" },
  { name: "house", demo: "three-generation-terrace", path: "house" },
  { name: "house-all-dark", demo: "split-level", path: "house?storey=all", theme: "dark" },
  { name: "house-phone", demo: "split-level", path: "house?storey=upper", size: "phone" },
  { name: "options", demo: "split-level", path: "options", act: pin },
  { name: "options-tablet-dark", demo: "studio", path: "options", size: "tablet", theme: "dark" },
  { name: "coverage", demo: "three-generation-terrace", path: "coverage" },
  {
    name: "coverage-probe-dark",
    demo: "split-level",
    path: "coverage?storey=upper",
    theme: "dark",
    act: probe,
  },
  { name: "coverage-rate-phone", demo: "studio", path: "coverage?quantity=rate&band=5", size: "phone" },
  {
    name: "capacity",
    demo: "top-floor-rental",
    path: "capacity?selected=channel:router:5",
  },
  {
    name: "capacity-activities-dark",
    demo: "split-level",
    path: "capacity?schedule=activities",
    theme: "dark",
  },
  { name: "capacity-plan-phone", demo: "studio", path: "capacity?schedule=plan", size: "phone" },
  { name: "cabling", demo: "split-level", path: "cabling?storey=lower" },
  { name: "cabling-all-dark", demo: "split-level", path: "cabling?storey=all", theme: "dark" },
  { name: "power-tablet", demo: "bungalow-with-alarms", path: "power", size: "tablet" },
  { name: "resilience", demo: "bungalow-with-alarms", path: "resilience" },
  { name: "resilience-cuts-dark", demo: "split-level", path: "resilience?stay=cuts&cut=0", theme: "dark" },
  { name: "cost", demo: "split-level", path: "cost" },
  { name: "cost-offers-phone", demo: "top-floor-rental", path: "cost?cost=offers", size: "phone" },
  {
    name: "keys-dark",
    demo: "studio",
    path: "house",
    theme: "dark",
    act: (page) => page.keyboard.press("?"),
  },
];

/** Nothing that is drawn depends on the clock but the day of the last change. */
async function fixDates(page: Page): Promise<void> {
  await page.route(/\/api\/jobs\/[^/]+$/, async (route) => {
    const response = await route.fetch();
    const text = (await response.text()).replace(/("changed_at":\s*")[^"]*/, "$12026-01-31T12:00:00Z");
    await route.fulfill({ response, body: text });
  });
}

const jobs = new Map<string, string>();
async function jobOf(demo: string): Promise<string> {
  const job = jobs.get(demo) ?? (await program.demo(demo));
  jobs.set(demo, job);
  await planOf(program, job);
  return job;
}

for (const { name, demo, path, act, ...looks } of pictures) {
  test(`${name} is drawn as it was looked at`, async () => {
    const window = await visit(browser, program.origin, looks);
    const { page } = window;
    await fixDates(page);
    await window.to(demo ? `/jobs/${await jobOf(demo)}/${path}` : path);
    await page.waitForLoadState("networkidle");
    if (demo || path === "/new") await settled(page);
    await act?.(page);
    await page.waitForTimeout(200);
    const drawn = await page.screenshot({ animations: "disabled", caret: "hide" });
    await window.end();
    const file = join(kept, `${name}.png`);
    if (isRenewed) {
      writeFileSync(file, drawn);
      return;
    }
    expect(
      existsSync(file),
      `${file} is missing: look at the picture and keep it with npm run baselines`,
    ).toBe(true);
    const [before, now] = [PNG.sync.read(readFileSync(file)), PNG.sync.read(drawn)];
    expect([now.width, now.height]).toEqual([before.width, before.height]);
    const { width, height } = before;
    const difference = new PNG({ width, height });
    const pixels = pixelmatch(before.data, now.data, difference.data, width, height, { threshold: 0.1 });
    const share = pixels / (width * height);
    if (share > tolerance) {
      writeFileSync(join(shots, `${name}.now.png`), drawn);
      writeFileSync(join(shots, `${name}.difference.png`), PNG.sync.write(difference));
    }
    expect(share, `journeys/shots/${name}.difference.png shows where`).toBeLessThanOrEqual(tolerance);
  });
}
