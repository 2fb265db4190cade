/**
 * How long people wait: `npm run bench`. The median of several, by the page's own clock. Measures, not tests.
 *
 * - A first load on loopback, in a fresh browser profile, so that nothing is cached: from the start of the navigation until
 *   what people came for is drawn and the button or plan answers.
 * - A part that is moved: from the pointer's move to coarse contours for that place, and from letting go to those of the full
 *   map, both until they are drawn. Each place is a new one, so that no map is known from before.
 */

import { cpus } from "node:os";
import type { Browser, Page } from "playwright-core";
import { launch, visit } from "./lib/browser.ts";
import { houseOf, onScreen, planOf, storeyOf } from "./lib/plan.ts";
import { Program } from "./lib/program.ts";
import { plan, settled } from "./lib/steps.ts";

const loadLimitMs = 1000;
const coarseLimitMs = 100;
const fullLimitMs = 300;
const loads = 7;
const moves = 10;

/** Milliseconds from the start of the navigation until `selector` is there, was drawn and the page is at rest. */
async function usableAfter(
  browser: Browser,
  origin: string,
  path: string,
  selector: string,
): Promise<number> {
  const window = await visit(browser, origin);
  await window.page.addInitScript((selector) => {
    const look = () => {
      if (!document.querySelector(selector)) return requestAnimationFrame(look);
      // The frame with it is drawn, and a task that waits behind it has its turn: the page answers.
      return requestAnimationFrame(() =>
        setTimeout(() => Object.assign(globalThis, { usableAt: performance.now() }), 0),
      );
    };
    look();
  }, selector);
  await window.to(path);
  await window.page.waitForFunction(() => "usableAt" in globalThis);
  const at = await window.page.evaluate(() => (globalThis as unknown as { usableAt: number }).usableAt);
  await window.context.close();
  return at;
}

/** What a page notes of its pointer and of the contours that lag behind it [ms]. */
interface Clock {
  pointerAt: number;
  /** When contours of the present place were drawn last. */
  drawnAt: number;
  /** When the last map was there. */
  answeredAt: number;
}

/** Milliseconds from `act` with the pointer to the drawn contours, and how many of them were until the map's answer. */
async function drawnAfter(page: Page, act: () => Promise<void>): Promise<[number, number]> {
  const clock = () => page.evaluate(() => (globalThis as unknown as { clock: Clock }).clock);
  const before = (await clock()).drawnAt;
  await act();
  await page.waitForFunction(
    (before) => (globalThis as unknown as { clock: Clock }).clock.drawnAt > before,
    before,
    { polling: 20 },
  );
  const { pointerAt, drawnAt, answeredAt } = await clock();
  return [drawnAt - pointerAt, answeredAt - pointerAt];
}

/** A demo home's radio that is moved about: waits for coarse and for full contours. */
async function moved(browser: Browser, program: Program, demo: string) {
  const job = await program.demo(demo);
  const { options } = await planOf(program, job);
  const radiosOf = (option: (typeof options)[number]) =>
    new Set((option.design.radios ?? []).map((r) => r.part));
  const [most] = [...options].sort((a, b) => radiosOf(b).size - radiosOf(a).size);
  const part = most?.design.parts.findLast((placed) => radiosOf(most).has(placed.id));
  if (!most || !part) throw new Error(`${demo} has no option with a radio`);
  const house = await houseOf(program, job);
  const storey = storeyOf(house, most, part.id);
  const room = house.storeys.flatMap((s) => s.rooms).find((r) => r.id === part.room);
  if (!room) throw new Error(`${demo} has no room ${part.room}`);
  const { context, page, to } = await visit(browser, program.origin);
  await page.addInitScript(() => {
    const clock = { pointerAt: 0, drawnAt: 0, answeredAt: 0 };
    Object.assign(globalThis, { clock });
    const note = (event: Event) => {
      clock.pointerAt = event.timeStamp;
    };
    addEventListener("pointermove", note, true);
    addEventListener("pointerup", note, true);
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries()) {
        if (entry.name.includes("coarse="))
          clock.answeredAt = (entry as PerformanceResourceTiming).responseEnd;
      }
    }).observe({ type: "resource" });
    let isBehind = false;
    new MutationObserver(() => {
      const wasBehind = isBehind;
      isBehind = document.querySelector(".plan-behind") !== null;
      if (!wasBehind || isBehind) return;
      requestAnimationFrame(() =>
        setTimeout(() => {
          clock.drawnAt = performance.now();
        }, 0),
      );
    }).observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ["class"] });
  });
  await to(`/jobs/${job}/coverage?design=${most.id}&storey=${storey}&selected=part:${part.id}`);
  await settled(page);
  const coarse: [number, number][] = [];
  const full: [number, number][] = [];
  const [start, inside] = await onScreen(page, [[part.at[0], part.at[1]], room.inside]);
  if (!start || !inside) throw new Error("the plan is nowhere");
  const far = Math.hypot(inside[0] - start[0], inside[1] - start[1]);
  /** A place on the way into the room, so that it is in no wall. */
  const on = (px: number): [number, number] => [
    start[0] + ((inside[0] - start[0]) * px) / far,
    start[1] + ((inside[1] - start[1]) * px) / far,
  ];
  for (let i = 0; i < moves; i++) {
    const box = await plan(page)
      .getByRole("button", { name: /^Move / })
      .boundingBox();
    if (!box) throw new Error("the handle is nowhere");
    // Further in and back again, never to the same place.
    const to = 8 + i + (i % 2 === 0 ? 14 : 0);
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await drawnAfter(page, () => page.mouse.move(...on(to - 4)));
    coarse.push(await drawnAfter(page, () => page.mouse.move(...on(to))));
    full.push(await drawnAfter(page, () => page.mouse.up()));
  }
  await context.close();
  return { coarse, full, of: `${demo}, ${radiosOf(most).size} parts with radios` };
}

const median = (numbers: readonly number[]): number => {
  const sorted = [...numbers].sort((a, b) => a - b);
  const at = Math.floor(sorted.length / 2);
  return sorted.length % 2 === 1
    ? (sorted[at] as number)
    : ((sorted[at - 1] as number) + (sorted[at] as number)) / 2;
};

function tell(name: string, times: readonly number[], limitMs: number, more: string): void {
  const ms = median(times);
  process.stdout.write(
    `BENCH ${name} ours=${(ms / 1000).toFixed(3)} s limit=${limitMs / 1000} s ratio=${(ms / limitMs).toFixed(3)}\n`,
  );
  const range = [Math.min(...times), Math.max(...times)]
    .map((end) => `${(end / 1000).toFixed(3)} s`)
    .join(" to ");
  process.stdout.write(`  ${times.length} times, ${range}, ${more}\n`);
}

export async function run(): Promise<void> {
  const program = await Program.start();
  const browser = await launch();
  const machine = `Chromium ${browser.version()}, ${cpus().length} processors`;
  const job = await program.demo("semi-detached-garden-office");
  await planOf(program, job);
  const pages = [
    ["page-load", "/", ".demo button:enabled"],
    ["page-load-job", `/jobs/${job}/house`, ".plan-geometry .plan-wall"],
    ["page-load-options", `/jobs/${job}/options`, ".options-table tbody tr"],
  ] as const;
  for (const [name, path, selector] of pages) {
    const times: number[] = [];
    for (let round = 0; round < loads; round++) {
      times.push(await usableAfter(browser, program.origin, path, selector));
    }
    tell(name, times, loadLimitMs, machine);
  }
  for (const demo of ["split-level", "three-generation-terrace"]) {
    const { coarse, full, of } = await moved(browser, program, demo);
    for (const [name, waits, limit] of [
      ["move-coarse", coarse, coarseLimitMs],
      ["move-full", full, fullLimitMs],
    ] as const) {
      const untilAnswer = `${(median(waits.map((wait) => wait[1])) / 1000).toFixed(3)} s of them until the map was there`;
      tell(
        name,
        waits.map((wait) => wait[0]),
        limit,
        `${untilAnswer}; ${of}; ${machine}`,
      );
    }
  }
  await browser.close();
  await program.remove();
}
