/** Labels of the drawing stay apart and on the sheet: every demo home, every storey, with and without a map. */

import { expect, test } from "vitest";
import { collisions, houseOf, labelsOf, planOf } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { settled } from "./lib/steps.ts";

const { calls, visit } = shared();
const { demos } = await calls.get<{ demos: { id: string }[] }>("/demos");

test("there are demo homes to look at", () => expect(demos.length).toBeGreaterThanOrEqual(8));

for (const { id } of demos) {
  test(`no label of ${id} covers another or leaves the sheet`, async () => {
    const job = await calls.demo(id);
    const house = await houseOf(calls, job);
    await planOf(calls, job);
    const window = await visit();
    const wrong: string[] = [];
    for (const storey of house.storeys) {
      for (const view of ["house", "options", "coverage", "coverage?band=2.4&quantity=rate"]) {
        const address = `/jobs/${job}/${view}${view.includes("?") ? "&" : "?"}storey=${storey.id}`;
        await window.to(address);
        await settled(window.page);
        const found = await labelsOf(window.page);
        // Each room has its name on the plan or is too small for it; a sheet without any label shows nothing.
        expect(found.labels.length, address).toBeGreaterThan(0);
        wrong.push(...collisions(found).map((what) => `${storey.id} ${view}: ${what}`));
      }
    }
    expect(wrong).toEqual([]);
    await window.end();
  });
}
