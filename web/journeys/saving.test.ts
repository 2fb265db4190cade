/** What the page showed as saved is there after the program was killed in the middle of an edit; the rest is sent later. */

import { execFileSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, expect, inject, test } from "vitest";
import type { HistoryEntry, JobAnswer } from "../src/engine/types.ts";
import { visit } from "./lib/browser.ts";
import { houseOf } from "./lib/plan.ts";
import { Program } from "./lib/program.ts";
import { renameJob, renameRoom, settled, showSchedule, showSheet } from "./lib/steps.ts";

let program: Program;
let browser: Browser;

beforeAll(async () => {
  program = await Program.start();
  browser = await chromium.connect(inject("browser"));
});
afterAll(async () => {
  await browser.close();
  await program.remove();
});

/** What SQLite itself says of every database among the jobs. */
function integrity(folder: string): string[] {
  const files = readdirSync(folder, { recursive: true, encoding: "utf8" });
  const databases = files.filter((file) => /\.(db|sqlite3?)$/.test(file));
  if (databases.length === 0) throw new Error(`no database among ${files.join(", ")}`);
  const check =
    "import sqlite3,sys; print(sqlite3.connect(sys.argv[1]).execute('PRAGMA integrity_check').fetchone()[0])";
  return databases.map((file) =>
    execFileSync("python3", ["-c", check, join(folder, file)], { encoding: "utf8" }).trim(),
  );
}

/** Notes every announcement of the page, in order. */
async function listen(page: Page): Promise<() => Promise<string[]>> {
  await page.evaluate(() => {
    const said: string[] = [];
    Object.assign(window, { said });
    const region = document.querySelector("[data-testid=announcer]") as HTMLElement;
    new MutationObserver(() => said.push(region.textContent ?? "")).observe(region, {
      subtree: true,
      childList: true,
      characterData: true,
    });
  });
  return async () => await page.evaluate(() => (window as unknown as { said: string[] }).said);
}

const labels = async (id: string) =>
  (await program.get<{ entries: HistoryEntry[] }>(`/jobs/${id}/history`)).entries.map((entry) => entry.label);

test("edits that were shown as saved survive a kill, and those under way are sent afterwards", async () => {
  const id = await program.demo("studio");
  const window = await visit(browser, program.origin);
  window.allow(/ERR_|WebSocket|409/);
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  await showSchedule(page);
  const saved = page.getByRole("button", { name: /^Saved/ });
  const rooms = (await houseOf(program, id)).storeys.flatMap((s) => s.rooms);
  const room = rooms[0]?.name ?? "";
  await renameJob(page, "Kept through thick and thin");
  await renameRoom(page, room, "Room 0");
  await showSheet(page, "Options");
  await page
    .getByRole("button", { name: /^Keep .* in the job$/ })
    .first()
    .click();
  await showSheet(page, "House");
  await showSchedule(page);
  await saved.waitFor();
  let known = 0;
  // Killed soon after the first, in the middle, and late in a row of edits.
  for (const [round, delayMs] of [0, 60, 200].entries()) {
    const said = await listen(page);
    const kill = (async () => {
      await page.waitForFunction(() =>
        (window as unknown as { said: string[] }).said.some((text) => text.startsWith("Saved, ")),
      );
      await page.waitForTimeout(delayMs);
      await program.kill();
    })();
    const sent: string[] = [];
    for (let i = 0; i < 8; i++) {
      const next = `Room ${++known}`;
      await renameRoom(page, `Room ${known - 1}`, next);
      sent.push(`Rename room to ${next}`);
    }
    await kill;
    const acknowledged = (await said())
      .filter((text) => text.startsWith("Saved, "))
      .map((text) => text.slice(7));
    expect(integrity(program.data)).toEqual(["ok"]);
    await program.restart();
    const kept = await labels(id);
    expect(acknowledged.length, `round ${round}`).toBeGreaterThan(0);
    expect(kept).toEqual(expect.arrayContaining(acknowledged));
    // The page comes back by itself. An edit that was on disk but not yet answered for is told as made elsewhere.
    const again = page.getByRole("button", { name: "Make my change again" });
    await saved.or(again).first().waitFor({ timeout: 30_000 });
    const isTold = await again.isVisible();
    if (isTold) await again.click();
    await saved.waitFor({ timeout: 30_000 });
    const after = await labels(id);
    // Made again, all that waited is one step of the history.
    if (!isTold) for (const label of sent) expect(after, `round ${round}`).toContain(label);
    const house = await houseOf(program, id);
    expect(house.storeys.flatMap((s) => s.rooms).map((r) => r.name)).toContain(`Room ${known}`);
  }
  const { document, job } = await program.get<JobAnswer>(`/jobs/${id}`);
  expect(job.name).toBe("Kept through thick and thin");
  expect(document.designs?.length).toBe(1);
  // Undo and redo reach back over the restarts.
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("button", { name: `Room ${known - 1}`, exact: true }).waitFor();
  await page.keyboard.press("Control+z");
  await page.getByRole("button", { name: `Room ${known - 2}`, exact: true }).waitFor();
  await page.getByRole("button", { name: "Redo" }).click();
  await page.getByRole("button", { name: `Room ${known - 1}`, exact: true }).waitFor();
  await page.keyboard.press("Control+Shift+z");
  await page.getByRole("button", { name: `Room ${known}`, exact: true }).waitFor();
  await program.kill();
  expect(integrity(program.data)).toEqual(["ok"]);
  await program.restart();
  await window.end();
});

test("changes made while the program is away are kept when the page is left, and sent when it is opened again", async () => {
  const id = await program.demo("studio");
  const window = await visit(browser, program.origin);
  window.allow(/ERR_|WebSocket/);
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  await showSchedule(page);
  const room = (await houseOf(program, id)).storeys[0]?.rooms[0]?.name ?? "";
  await program.kill();
  await renameRoom(page, room, "Written while away");
  await page
    .getByRole("alert")
    .filter({ hasText: "1 change is kept here and sent when it is back" })
    .waitFor();
  // The change is shown meanwhile, and told to be unsent.
  expect(await page.getByRole("button", { name: "Written while away", exact: true }).count()).toBe(1);
  expect(await page.getByRole("button", { name: /1 change not sent/ }).count()).toBe(1);
  await page.goto("about:blank");
  await program.restart();
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  await page.getByRole("button", { name: /^Saved/ }).waitFor({ timeout: 30_000 });
  expect(await labels(id)).toContain("Rename room to Written while away");
  await window.end();
});
