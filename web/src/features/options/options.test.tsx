import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, test, vi } from "vitest";
import type { DesignOption, Plan } from "../../engine/types.ts";
import { OptionsSchedule } from "./OptionsSchedule.tsx";
import { Reasons } from "./Reasons.tsx";

const reader = { locale: "en-GB", units: "metric" as const };

function option(id: string, price: number): DesignOption {
  return {
    id,
    family: "own-router",
    design: {
      id,
      name: `Design ${id}`,
      family: "own-router",
      parts: [],
      links: [],
      radios: [],
      segments: [],
      feeds: [],
    },
    figures: [
      {
        id: "price",
        subject: id,
        value: price,
        unit: "GBP",
        low: price - 50,
        high: price + 50,
        confidence: null,
        estimate: false,
        sources: [],
      },
    ],
    findings: [],
    cautions: [{ work: "drilling", text: "Find wires and pipes first." }],
    gap: null,
    beats: [],
    beaten_by: [],
  };
}

const a = option("a", 500);
const b: DesignOption = {
  ...option("b", 700),
  beats: [{ option: "a", figures: [{ figure: "coverage", this: 99, other: 95, unit: "%" }] }],
};

function doors() {
  return { onShow: vi.fn(), onPin: vi.fn(), onKeep: vi.fn(), onRemove: vi.fn() };
}

test("one row an option, with interval and change; shown, pinned and kept from the row", async () => {
  const on = doors();
  render(
    <OptionsSchedule options={[a, b]} best="a" shown="a" pinned={a} kept={["a"]} reader={reader} {...on} />,
  );
  const table = screen.getByRole("table", { name: /best first/ });
  const [, first, second] = within(table).getAllByRole("row");
  expect(first?.textContent).toContain("best, kept, pinned");
  const row = within(second as HTMLElement);
  expect(second?.textContent).toContain("£650 to £750");
  expect(second?.textContent).toContain("+£200");
  expect(second?.textContent).toContain("worse");
  await userEvent.click(row.getByRole("button", { name: "Show Design b on the plan" }));
  await userEvent.click(row.getByRole("button", { name: "Pin Design b for comparison" }));
  await userEvent.click(row.getByRole("button", { name: "Keep Design b in the job" }));
  expect(on.onShow).toHaveBeenCalledWith(b);
  expect(on.onPin).toHaveBeenCalledWith(b);
  expect(on.onKeep).toHaveBeenCalledWith(b);
  await userEvent.click(screen.getByRole("button", { name: "Pin Design a for comparison", pressed: true }));
  expect(on.onPin).toHaveBeenLastCalledWith(null);
  await userEvent.click(screen.getByRole("button", { name: "Take out of the job, Design a" }));
  expect(on.onRemove).toHaveBeenCalledWith(a);
});

test("reasons are figures, families left out and assumptions", async () => {
  const onShow = vi.fn();
  const plan: Plan = {
    options: [a, b],
    excluded: [{ family: "access-switch", reason: "the router has 4 LAN ports, so no switch is needed" }],
    assumptions: ["Three people"],
  };
  const reasons = (isKept: boolean) => (
    <Reasons plan={plan} shown={b} isKept={isKept} pinned={null} reader={reader} onShow={onShow} />
  );
  const { rerender } = render(reasons(false));
  const said = (document.body.textContent ?? "").replaceAll("\u00a0", " ");
  expect(said).toContain("Coverage 99.0 % against 95.0 %");
  expect(said).toContain("No other option beats it");
  expect(said).toContain("Access switchthe router has 4 LAN ports");
  expect(said).toContain("Three people");
  expect(said).toContain("drillingFind wires and pipes first.");
  expect(said).toContain("the local code and licensed trades come first");
  await userEvent.click(screen.getByRole("button", { name: "Design a" }));
  expect(onShow).toHaveBeenCalledWith("a");
  // Of a kept design nobody says that it beats nothing: it was not compared.
  rerender(reasons(true));
  expect(document.body.textContent).not.toContain("No other option beats it");
  expect(document.body.textContent).toContain("The planner compares its own options only");
});

test("all figures stand by their names; of the floor with service what is sure is said", () => {
  const figure = (
    id: string,
    subject: string,
    value: number,
    [low, high]: [number, number],
    unit: string,
  ) => ({
    id,
    subject,
    value,
    unit,
    low,
    high,
    confidence: 0.9,
    estimate: false,
    sources: [],
  });
  const shown: DesignOption = {
    ...a,
    figures: [
      figure("served.area", "a", 98.96, [96.24, 100], "%"),
      figure("coverage.outdoors", "a", 71, [60, 100], "%"),
      figure("airtime.5", "router", 0.13, [0.07, 0.15], "1"),
      figure("neighbour.level", "next-door", -71.2, [-79.4, -63], "dBm"),
    ],
  };
  const pinned = { ...b, figures: [figure("served.area", "b", 90, [80, 100], "%")] };
  const plan: Plan = { options: [shown, pinned], excluded: [], assumptions: [] };
  render(
    <Reasons plan={plan} shown={shown} isKept={false} pinned={pinned} reader={reader} onShow={vi.fn()} />,
  );
  const rows = [...document.querySelectorAll(".all-figures tbody tr")].map((row) =>
    (row.textContent ?? "").replaceAll("\u00a0", " "),
  );
  expect(rows).toEqual([
    "Floor with servicethe whole design99.0 %at least 96.2 % with 90 % confidence+9.0 points better",
    "Coverage, outdoorsthe whole design71.0 %60.0 to 100.0 %",
    "Airtime in use, 5 GHzrouter13.0 %7.0 to 15.0 %",
    "Level of a neighbour’s networknext-door\u221271.2 dBm\u221279.4 to \u221263.0 dBm",
  ]);
});
