/**
 * How long a first load takes on loopback until the page can be used: `npm run bench`. Each load is in a fresh browser
 * profile, so that nothing is cached. Measured by the page's own clock, from the start of the navigation until what
 * people came for is drawn and the button or plan answers; the median of several. A measure, not a test.
 */

import { cpus } from "node:os";
import type { Browser } from "playwright-core";
import { launch, visit } from "./lib/browser.ts";
import { planOf } from "./lib/plan.ts";
import { Program } from "./lib/program.ts";

const limitSeconds = 1;
const rounds = 7;

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

export async function run(): Promise<void> {
  const program = await Program.start();
  const browser = await launch();
  const job = await program.demo("semi-detached-garden-office");
  await planOf(program, job);
  const pages = [
    ["page-load", "/", ".demo button:enabled"],
    ["page-load-job", `/jobs/${job}/house`, ".plan-geometry .plan-wall"],
    ["page-load-options", `/jobs/${job}/options`, ".options-table tbody tr"],
  ] as const;
  for (const [name, path, selector] of pages) {
    const times: number[] = [];
    for (let round = 0; round < rounds; round++) {
      times.push(await usableAfter(browser, program.origin, path, selector));
    }
    times.sort((a, b) => a - b);
    const seconds = (times[Math.floor(rounds / 2)] as number) / 1000;
    const ours = seconds.toFixed(3);
    process.stdout.write(
      `BENCH ${name} ours=${ours} s limit=${limitSeconds} s ratio=${(seconds / limitSeconds).toFixed(3)}\n`,
    );
    const range = [times[0], times[rounds - 1]]
      .map((ms) => `${((ms as number) / 1000).toFixed(3)} s`)
      .join(" to ");
    process.stdout.write(
      `  ${rounds} loads, ${range}, Chromium ${browser.version()}, ${cpus().length} processors\n`,
    );
  }
  await browser.close();
  await program.remove();
}
