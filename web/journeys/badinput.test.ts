/** Bad input is told with what to do next, and never becomes part of the page. */

import { expect, test } from "vitest";
import { houseOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, renameJob, renameRoom, settled, showSchedule, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();
const script = `<img src=x onerror="alert(1)"><script>alert(2)</script>'"&amp;`;

test("a script in names stays text on every page", async () => {
  const id = await calls.demo("studio");
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  await showSchedule(page);
  const room = (await houseOf(calls, id)).storeys[0]?.rooms[0]?.name ?? "";
  await renameJob(page, script);
  await renameRoom(page, room, `${script} room`);
  await page.getByRole("button", { name: `${script} room`, exact: true }).waitFor();
  await page.getByRole("button", { name: /^Saved/ }).waitFor();
  for (const sheet of ["Options", "Coverage", "House"] as const) {
    await showSheet(page, sheet);
    await settled(page);
    expect(await page.getByRole("heading", { level: 1 }).innerText()).toContain(script);
    expect(await page.title()).toContain(script);
    expect(await page.locator("img, script:not([src])").count()).toBe(0);
  }
  await page.getByRole("button", { name: "More" }).click();
  await page.getByRole("dialog").getByRole("button", { name: "History" }).click();
  await page.getByText(`Rename room to ${script} room`).waitFor();
  await page.keyboard.press("Escape");
  await page.getByRole("link", { name: "All jobs" }).click();
  await page.getByRole("link", { name: script }).waitFor();
  expect(await page.locator("img, script:not([src])").count()).toBe(0);
  await window.end();
});

test("a job file that is corrupt, of a newer version, or far too large is refused in words", async () => {
  const before = (await calls.get<{ jobs: unknown[] }>("/jobs")).jobs.length;
  const window = await visit();
  window.allow(/status of 4(00|13|15|22)/, /ERR_CONNECTION/);
  const { page } = window;
  await window.to("/");
  const choose = page.getByLabel("Choose a job file");
  const alert = page.getByRole("alert");
  const refused = async (what: { name: string; mimeType: string; buffer: Buffer }, says: RegExp) => {
    await choose.setInputFiles(what);
    await expect
      .poll(() => alert.allInnerTexts(), { timeout: 30_000 })
      .toEqual([expect.stringMatching(says)]);
  };
  const text = (name: string, content: string) => ({
    name,
    mimeType: "text/plain",
    buffer: Buffer.from(content),
  });
  await refused(text("broken.toml", 'format = "wallplate/1"\nname = "half'), /line 2/i);
  await refused(text("broken.json", "{"), /line 1/i);
  await refused(
    { name: "noise.toml", mimeType: "application/toml", buffer: Buffer.from([0, 255, 254, 128, 1]) },
    /UTF-8/i,
  );
  await refused(text("future.toml", 'format = "wallplate/2"\nname = "x"\n'), /wallplate\/2/);
  // 100 MB, made in the page, as if it had been dropped there.
  await choose.evaluate((input: HTMLInputElement) => {
    const list = new DataTransfer();
    list.items.add(new File([new Uint8Array(100 * 1024 * 1024).fill(35)], "large.toml"));
    input.files = list.files;
    input.dispatchEvent(new Event("change", { bubbles: true }));
  });
  await alert.filter({ hasText: /over the limit of \d+ MB/ }).waitFor({ timeout: 30_000 });
  expect((await calls.get<{ jobs: unknown[] }>("/jobs")).jobs.length).toBe(before);
  // The page still works.
  await page.getByRole("button", { name: "Open a copy of Studio" }).click();
  await settled(page);
  await window.end();
});

test("a model that is none is refused in words", async () => {
  const window = await visit();
  window.allow(/status of 4(00|22)/);
  const { page } = window;
  await window.to("/import");
  const buffer = Buffer.from("this is no model\n".repeat(50));
  await page.getByLabel("Building model").setInputFiles({ name: "not.ifc", mimeType: "text/plain", buffer });
  await page.getByRole("button", { name: "Read the model" }).click();
  await page.getByRole("alert").filter({ hasText: "The model could not be read" }).waitFor();
  await window.end();
});

test("absurd wishes say what fits, at the answer that is wrong", async () => {
  const window = await visit();
  window.allow(/status of 4(00|22)/);
  const { page } = window;
  await window.to("/new");
  await plan(page).locator("svg").first().waitFor();
  const create = page.getByRole("button", { name: "Create this home" });
  const area = page.getByRole("spinbutton", { name: /Floor area/ });
  const bedrooms = page.getByRole("spinbutton", { name: "Bedrooms" });
  const storeys = page.getByRole("spinbutton", { name: "Living storeys" });
  const main = page.getByRole("main");
  await area.fill("40");
  await bedrooms.fill("20");
  await expect.poll(() => main.innerText(), { timeout: 20_000 }).toMatch(/fit/);
  await expect.poll(() => create.isDisabled()).toBe(true);
  // How many fit, or what area is needed: a figure, not only a no.
  const told = await main.locator(".field-fits, .problem-list").allInnerTexts();
  expect(told.join(" ")).toMatch(/\d/);
  // The last sketch that was possible stays, and is told to be old.
  expect(await plan(page).locator("svg").count()).toBe(1);
  await bedrooms.fill("1");
  await area.fill("80");
  await storeys.fill("0");
  await expect.poll(() => storeys.getAttribute("aria-invalid"), { timeout: 20_000 }).toBe("true");
  await storeys.fill("1");
  await area.fill("-5");
  await expect.poll(() => area.getAttribute("aria-invalid"), { timeout: 20_000 }).toBe("true");
  expect(await create.isDisabled()).toBe(true);
  await area.fill("80");
  await expect.poll(() => create.isEnabled(), { timeout: 20_000 }).toBe(true);
  await window.end();
});

test("addresses that lead nowhere say so", async () => {
  const window = await visit();
  window.allow(/status of 404/, /WebSocket.*no-such-job.*404/);
  const { page } = window;
  await window.to("/jobs/no-such-job/house");
  await page.getByRole("alert").waitFor();
  await page.getByRole("link", { name: "Go to the jobs" }).click();
  await page.getByRole("heading", { name: "Jobs", exact: true }).waitFor();
  await window.to("/no/such/page");
  await page.getByRole("heading", { name: "There is no such page" }).waitFor();
  const id = await calls.demo("studio");
  await window.to(`/jobs/${id}/options?design=none&pinned=${encodeURIComponent(script)}&storey=moon&band=7`);
  await settled(page);
  await page.getByText(/Design none is not among the options/).waitFor();
  expect(jobOf(page)).toBe(id);
  expect(await page.locator("img").count()).toBe(0);
  await window.end();
});
