/** A part is taken elsewhere: by hand and by keys, of an option and of a design that is kept; and all of it undone. */

import type { Page } from "playwright-core";
import { expect, test } from "vitest";
import type { Design, JobAnswer } from "../src/engine/types.ts";
import {
  collisions,
  contours,
  type DesignOption,
  houseOf,
  labelsOf,
  onScreen,
  planOf,
  storeyOf,
} from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { plan, settled } from "./lib/steps.ts";

const { calls, visit } = shared();

/** A copy of the studio, its best option, the part with a radio, and another place in the room that it stands in. */
async function studio() {
  const job = await calls.demo("studio");
  const { options } = await planOf(calls, job);
  const [best] = options as [DesignOption];
  const id = best.design.radios?.[0]?.part;
  const part = best.design.parts.find((placed) => placed.id === id);
  if (!part) throw new Error("the best option has no radio");
  const house = await houseOf(calls, job);
  const storey = storeyOf(house, best, part.id);
  const rooms = house.storeys.find((s) => s.id === storey)?.rooms ?? [];
  const far = (at: readonly [number, number]) => Math.hypot(at[0] - part.at[0], at[1] - part.at[1]);
  const [room] = [...rooms].sort((a, b) => far(b.inside) - far(a.inside));
  if (!room) throw new Error("the storey has no room");
  return { job, best, part, storey, room };
}

type Studio = Awaited<ReturnType<typeof studio>>;

const address = ({ job, best, part, storey }: Studio) =>
  `/jobs/${job}/coverage?design=${best.id}&storey=${storey}&selected=part:${part.id}`;

const handle = (page: Page) => plan(page).getByRole("button", { name: /^Move / });

/** Takes the handle to a place of the plan, and holds it there. */
async function takeTo(page: Page, to: readonly [number, number]): Promise<void> {
  const box = await handle(page).boundingBox();
  const [at] = await onScreen(page, [[to[0], to[1]]]);
  if (!box || !at) throw new Error("the handle is nowhere");
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let step = 1; step <= 8; step++) {
    await page.mouse.move(x + ((at[0] - x) * step) / 8, y + ((at[1] - y) * step) / 8);
  }
}

const designs = async (job: string): Promise<Design[]> =>
  (await calls.get<JobAnswer>(`/jobs/${job}`)).document.designs ?? [];

async function placeOf(job: string, design: string, part: string): Promise<readonly number[] | undefined> {
  const found = (await designs(job)).find((kept) => kept.id === design);
  return found?.parts.find((placed) => placed.id === part)?.at;
}

const becomes = (page: Page, old: string) =>
  expect.poll(() => contours(page), { timeout: 30_000 }).not.toBe(old);

test("an option's part is dragged: contours follow, Escape puts it back, a copy keeps it, undo takes it all back", async () => {
  const home = await studio();
  const window = await visit();
  const { page } = window;
  await window.to(address(home));
  await settled(page);
  const before = await contours(page);

  // What is let go with Escape was never anywhere.
  const coarse = page.waitForResponse(/coarse=true/);
  await takeTo(page, home.room.inside);
  await page.getByText("Cells of 0.5 m and fewer paths while it moves").waitFor();
  // The first change is the labels' gaps; the map's own comes from the program.
  await coarse;
  await becomes(page, before);
  await page.keyboard.press("Escape");
  await expect.poll(() => contours(page), { timeout: 30_000 }).toBe(before);
  await page.mouse.up();
  expect(await designs(home.job)).toEqual([]);

  // Put down, it is looked at in full and nothing is stored; back by a button as by Escape.
  const full = page.waitForResponse(/coarse=false/);
  await takeTo(page, home.room.inside);
  await page.mouse.up();
  await full;
  await page.getByText(/the option itself stays as planned/).waitFor();
  await becomes(page, before);
  expect(collisions(await labelsOf(page))).toEqual([]);
  expect(await designs(home.job)).toEqual([]);
  await page.getByRole("button", { name: "Put it back" }).click();
  await expect.poll(() => contours(page), { timeout: 30_000 }).toBe(before);

  // And kept: in a copy, which is then shown.
  await takeTo(page, home.room.inside);
  await page.mouse.up();
  await page.getByRole("button", { name: "Keep a copy" }).click();
  await page.getByRole("button", { name: /^Saved.*revision 3/ }).waitFor();
  await expect.poll(() => page.url(), { timeout: 60_000 }).toContain("design=own-1");
  await page.getByText(/figures are being computed/).waitFor({ state: "detached", timeout: 60_000 });
  await settled(page);
  const [x = 0, y = 0, z] = (await placeOf(home.job, "own-1", home.part.id)) ?? [];
  // The pointer is on whole pixels.
  expect(Math.hypot(x - home.room.inside[0], y - home.room.inside[1])).toBeLessThan(0.05);
  expect(z).toBe(home.part.at[2]);
  const moved = await contours(page);
  expect(moved).not.toBe(before);
  expect((await designs(home.job))[0]?.name).toContain("own copy");

  const undo = page.getByRole("button", { name: "Undo" });
  expect(await undo.getAttribute("title")).toContain(`Move ${home.part.id}`);
  await undo.click();
  await page.getByRole("button", { name: /^Saved.*revision 4/ }).waitFor();
  expect(await placeOf(home.job, "own-1", home.part.id)).toEqual(home.part.at);
  await expect.poll(() => contours(page), { timeout: 60_000 }).toBe(before);
  await page.getByRole("button", { name: "Redo" }).click();
  await page.getByRole("button", { name: /^Saved.*revision 5/ }).waitFor();
  await expect.poll(() => contours(page), { timeout: 60_000 }).toBe(moved);

  // The copy has a row of its own among the options.
  await page.keyboard.press("o");
  await page
    .getByRole("button", { name: `Show ${home.best.design.name}, own copy on the plan` })
    .waitFor({ timeout: 60_000 });
  await window.end();
});

test("a kept design's part is moved with keys alone, and what is put down is stored", async () => {
  const home = await studio();
  await calls.post(`/jobs/${home.job}/edits`, {
    base_revision: 1,
    label: "Keep",
    edits: [{ kind: "insert", path: "designs", value: home.best.design }],
  });
  const window = await visit();
  const { page } = window;
  await window.to(address(home));
  await settled(page);
  await plan(page).focus();
  await page.keyboard.press("Tab");
  expect(await handle(page).evaluate((element) => element === document.activeElement)).toBe(true);
  const [x, y, z] = home.part.at;
  // Towards the middle of the room, so that there is floor.
  const towards = home.room.inside[0] > x ? "ArrowRight" : "ArrowLeft";
  const sign = towards === "ArrowRight" ? 1 : -1;
  await page.keyboard.press(towards);
  await page.getByText(/from its place/).waitFor();
  await page.keyboard.press("Escape");
  await page.getByText(/from its place/).waitFor({ state: "detached" });
  for (let i = 0; i < 4; i++) await page.keyboard.press(towards);
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: /^Saved.*revision 3/ }).waitFor();
  const at = (await placeOf(home.job, home.best.id, home.part.id)) ?? [];
  // To the centimetre, which is what a move is kept to.
  expect(Math.abs((at[0] ?? 0) - (x + sign * 0.4))).toBeLessThan(0.011);
  expect(Math.abs((at[1] ?? 0) - y)).toBeLessThan(0.006);
  expect(at[2]).toBe(z);
  // The focus is where it was, and the next press goes on from there.
  await page.getByText(/figures are being computed/).waitFor({ state: "detached", timeout: 60_000 });
  expect(await handle(page).evaluate((element) => element === document.activeElement)).toBe(true);
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("button", { name: /^Saved.*revision 4/ }).waitFor();
  expect(await placeOf(home.job, home.best.id, home.part.id)).toEqual(home.part.at);
  await window.end();
});
