/** A job is begun: from eight answers, and from an architect's model. */

import { join } from "node:path";
import { expect, test } from "vitest";
import { houseOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { jobOf, plan, settled, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();
const model = join(import.meta.dirname, "../../demo/two-dwelling-house");

test("eight answers give a sketch that follows them, a job, and its options", async () => {
  const window = await visit();
  const { page } = window;
  await window.to("/");
  await page.getByRole("link", { name: /New home/ }).click();
  const questions = page
    .getByRole("main")
    .getByRole("listitem")
    .filter({ has: page.getByRole("heading") });
  await questions.last().waitFor();
  expect(await questions.count()).toBe(8);
  const sketch = page.getByRole("region", { name: "Sketch of the home" });
  await plan(page).locator("svg").first().waitFor();
  const rooms = async () => (await sketch.locator("svg text").allTextContents()).join(" ");
  await expect.poll(rooms).not.toBe("");
  const first = await rooms();
  await page.getByRole("textbox", { name: "Name of the job" }).fill("Home of the journey");
  await page.getByRole("combobox", { name: "Country" }).selectOption("GB");
  await page.getByRole("spinbutton", { name: /Floor area/ }).fill("64");
  await page.getByRole("spinbutton", { name: "Living storeys" }).fill("1");
  await page.getByRole("radio", { name: "Semi-detached" }).check({ force: true });
  await page.getByRole("radio", { name: "Cavity masonry" }).check({ force: true });
  await page.getByRole("spinbutton", { name: "Bedrooms" }).fill("2");
  await page.getByRole("spinbutton", { name: "Bathrooms" }).fill("1");
  await page.getByRole("spinbutton", { name: "Offices" }).fill("0");
  await page.getByRole("checkbox", { name: "Utility room" }).uncheck();
  await page.getByRole("spinbutton", { name: "People" }).fill("2");
  await page.getByRole("radio", { name: "No holes" }).check({ force: true });
  await page.getByRole("radio", { name: "DSL" }).check({ force: true });
  await page.getByRole("spinbutton", { name: /Towards the home/ }).fill("60");
  await page.getByRole("spinbutton", { name: /From the home/ }).fill("20");
  await expect.poll(rooms, { timeout: 20_000 }).not.toBe(first);
  const before = await rooms();
  await page.getByRole("button", { name: "Another plan" }).click();
  await expect.poll(rooms, { timeout: 20_000 }).not.toBe(before);
  await page.getByRole("button", { name: "Create this home" }).click();
  await page.getByRole("heading", { name: /Home of the journey/ }).waitFor();
  await settled(page);
  const house = await houseOf(calls, jobOf(page));
  expect(house.storeys.length).toBe(1);
  const all = house.storeys.flatMap((s) => s.rooms);
  expect(all.filter((room) => /bedroom/i.test(room.name)).length).toBe(2);
  expect(all.reduce((sum, room) => sum + room.area_m2, 0)).toBeGreaterThan(64 * 0.8);
  await showSheet(page, "Options");
  const options = page.getByRole("table", { name: "Designs that the planner found, best first" });
  await options.waitFor({ timeout: 90_000 });
  expect(await options.getByRole("rowheader").count()).toBeGreaterThan(0);
  await window.end();
});

test("an architect's model with two dwellings is read, reported and opened", async () => {
  const window = await visit();
  // The model holds two dwellings and none is named at first: the server says so with a refusal.
  window.allow(/422.*\/api\/jobs\/import/);
  const { page } = window;
  await window.to("/");
  await page.getByRole("link", { name: /From an architect’s model/ }).click();
  await page.getByRole("button", { name: "Read the model" }).click();
  expect(await page.getByText("Choose the building model first").count()).toBe(1);
  await page.getByLabel("Building model").setInputFiles(join(model, "architecture.ifc"));
  await page.getByLabel("Electrical model").setInputFiles(join(model, "electrical.ifc"));
  await page.getByRole("combobox", { name: "Country" }).selectOption("US");
  await page.getByRole("button", { name: "Read the model" }).click();
  const dwelling = page.getByRole("combobox", { name: "Dwelling" });
  await dwelling.waitFor({ timeout: 60_000 });
  await dwelling.selectOption("A");
  await page.getByRole("button", { name: "Read the model" }).click();
  await page.getByRole("heading", { name: /was read/ }).waitFor({ timeout: 60_000 });
  for (const name of ["Understood", "Guessed", "Left out"]) {
    const part = page.getByRole("region", { name, exact: true });
    expect(await part.getByRole("listitem").count(), name).toBeGreaterThan(0);
  }
  await page.getByRole("link", { name: "Open the job" }).click();
  await settled(page);
  const house = await houseOf(calls, jobOf(page));
  expect(house.storeys.flatMap((s) => s.rooms).length).toBeGreaterThan(4);
  // Outlets come from the electrical model.
  expect(house.storeys.flatMap((s) => s.outlets).length).toBeGreaterThan(10);
  await window.end();
});
