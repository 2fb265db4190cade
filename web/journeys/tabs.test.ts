/** Two tabs on one job: what is done in one is seen in the other, and nobody overwrites what they have not seen. */

import { expect, test } from "vitest";
import type { HistoryEntry } from "../src/engine/types.ts";
import { shared } from "./lib/shared.ts";
import { renameJob, settled } from "./lib/steps.ts";

const { calls, visit, anotherTab } = shared();

test("an edit in one tab appears in the other, and is undone from there", async () => {
  const id = await calls.demo("studio");
  const one = await visit();
  const two = await anotherTab(one);
  for (const tab of [one, two]) {
    await tab.to(`/jobs/${id}/house`);
    await settled(tab.page);
  }
  // What is announced may be followed by the next announcement before anybody looks.
  const heard = await two.page.getByTestId("announcer").evaluateHandle((region) => {
    const said: string[] = [];
    new MutationObserver(() => said.push(region.textContent ?? "")).observe(region, {
      subtree: true,
      childList: true,
      characterData: true,
    });
    return said;
  });
  await renameJob(one.page, "Named in the first tab");
  await two.page.getByRole("heading", { name: /Named in the first tab/ }).waitFor();
  await expect.poll(async () => (await heard.jsonValue()).join(" ")).toContain("edited elsewhere");
  await two.page.getByRole("button", { name: "Undo" }).click();
  await one.page.getByRole("heading", { name: /Named in the first tab/ }).waitFor({ state: "detached" });
  await one.page.getByRole("heading", { name: /Studio/ }).waitFor();
  await two.end();
  await one.end();
});

test("an edit on an old revision is told, and made again when wished", async () => {
  const id = await calls.demo("studio");
  const one = await visit();
  const two = await visit();
  two.allow(/409/);
  // The second tab does not hear that the job has changed, as when its line is slow.
  await two.page.routeWebSocket(/\/live$/, (line) => {
    const server = line.connectToServer();
    server.onMessage((message) => {
      if (!String(message).includes('"changed"')) line.send(message);
    });
  });
  for (const tab of [one, two]) {
    await tab.to(`/jobs/${id}/house`);
    await settled(tab.page);
  }
  await renameJob(one.page, "First name");
  await one.page.getByRole("button", { name: /^Saved/ }).waitFor();
  await renameJob(two.page, "Second name");
  const told = two.page.getByRole("alert").filter({ hasText: "Somebody else edited this job" });
  await told.waitFor();
  // What the other tab has saved is shown, not what was refused.
  await two.page.getByRole("heading", { name: /First name/ }).waitFor();
  const { entries } = await calls.get<{ entries: HistoryEntry[] }>(`/jobs/${id}/history`);
  expect(entries.filter((entry) => entry.label === "Rename the job").length).toBe(1);
  await told.getByRole("button", { name: "Make my change again" }).click();
  await two.page.getByRole("heading", { name: /Second name/ }).waitFor();
  await one.page.getByRole("heading", { name: /Second name/ }).waitFor();
  expect(await told.count()).toBe(0);
  await two.end();
  await one.end();
});
