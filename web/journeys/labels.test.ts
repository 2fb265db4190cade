/** Labels of the drawing stay apart and on the sheet: every demo home, every storey, with and without a map. */

import { expect, test } from "vitest";
import { collisions, houseOf, labelsOf, type P, planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { settled, showSheet } from "./lib/steps.ts";

const { calls, visit } = shared();
const { demos } = await calls.get<{ demos: { id: string }[] }>("/demos");

test("there are demo homes to look at", () => expect(demos.length).toBeGreaterThanOrEqual(8));

const square = (x: number, y: number): P[] => [
  [x, y],
  [x + 10, y],
  [x + 10, y + 10],
  [x, y + 10],
];

test("what is looked for is found: labels that overlap, by how much, and those that leave the sheet", () => {
  const labels = [
    { text: "a", corners: square(0, 0), group: 0 },
    { text: "b", corners: square(8, 3), group: 1 },
    { text: "c", corners: square(8, 3), group: 1 },
    { text: "d", corners: square(95, 40), group: 2 },
  ];
  const sheet: P[] = [
    [0, 0],
    [100, 100],
  ];
  expect(collisions({ labels, sheet })).toEqual([
    "“a” over “b” by 2.0 px",
    "“a” over “c” by 2.0 px",
    "“d” leaves the sheet",
  ]);
});

for (const { id } of demos) {
  test(`no label of ${id} covers another or leaves the sheet`, async () => {
    const job = await calls.demo(id);
    const house = await houseOf(calls, job);
    await planOf(calls, job);
    const window = await visit();
    const { page } = window;
    const wrong: string[] = [];
    const look = async (storey: string, view: string) => {
      await settled(page);
      const found = await labelsOf(page);
      // Where the schedule leaves little room the rooms may be too small for their names.
      if (view !== "options") expect(found.labels.length, `${storey} ${view}`).toBeGreaterThan(0);
      wrong.push(...collisions(found).map((what) => `${storey} ${view}: ${what}`));
    };
    for (const storey of house.storeys) {
      await window.to(`/jobs/${job}/options?storey=${storey.id}`);
      await look(storey.id, "options");
      await showSheet(page, "House");
      await look(storey.id, "house");
      await showSheet(page, "Coverage");
      await look(storey.id, "coverage");
      await page.getByRole("radio", { name: "2.4 GHz" }).check({ force: true });
      await page.getByRole("radio", { name: /Rate/ }).check({ force: true });
      await look(storey.id, "coverage, rate in 2.4 GHz");
      await showSheet(page, "Capacity");
      await look(storey.id, "capacity");
      await showSheet(page, "Cabling");
      await look(storey.id, "cabling");
      await showSheet(page, "Power");
      await look(storey.id, "power");
    }
    expect(wrong).toEqual([]);
    await window.end();
  });
}
