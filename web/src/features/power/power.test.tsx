import { cleanup, render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import axe from "axe-core";
import { afterEach, expect, test, vi } from "vitest";
import { type PowerPart, powerParts, type Selected } from "../../document/address.ts";
import { answer, batteries } from "../../document/wires.fixture.ts";
import type { BatteryRow, CablingAnswer, House, SupplyRow } from "../../engine/types.ts";
import { house as drawn } from "../../plan/fixture.ts";
import { headline, PowerPanel } from "./PowerPanel.tsx";
import { PowerSchedules } from "./Schedules.tsx";

const house = drawn as unknown as House;
const reader = { locale: "en-GB", units: "metric" as const };

const saved = vi.hoisted(() => [] as { name: string; content: string }[]);
vi.mock("../../ui/download.ts", () => ({
  download: (name: string, content: string) => saved.push({ name, content }),
}));
afterEach(() => {
  saved.length = 0;
});

interface Shown {
  selected?: Selected | null;
  of?: CablingAnswer;
  on?: readonly BatteryRow[] | null;
}

function schedules(part: PowerPart, { selected = null, of = answer, on = batteries }: Shown = {}) {
  const doors = { onPart: vi.fn(), onLook: vi.fn(), onSelect: vi.fn() };
  const { container } = render(
    <PowerSchedules
      answer={of}
      batteries={on}
      house={house}
      job="Made-up home"
      design="Home run"
      part={part}
      look={{ sort: null, find: "" }}
      selected={selected}
      reader={reader}
      {...doors}
    />,
  );
  return { ...doors, container };
}

const plain = (said: string | null | undefined): string => (said ?? "").replaceAll("\u00a0", " ");

function rowsOf(name: string): string[][] {
  const rows = within(screen.getByRole("table", { name })).getAllByRole("row").slice(1);
  return rows.map((row) => [...row.querySelectorAll("th, td")].map((cell) => plain(cell.textContent)));
}

function supplyWith(more: Partial<SupplyRow>): CablingAnswer {
  const [supply] = answer.wires.supplies;
  if (!supply) throw new Error("there is a supply");
  return { ...answer, wires: { ...answer.wires, supplies: [{ ...supply, ...more }] } };
}

test("a supply's row says ports, class, draw, budget and margin; its bar is said in words", () => {
  const { container } = schedules("supplies");
  expect(rowsOf("Schedule of supplies over data cables")[0]).toEqual([
    "switch",
    "2 of 4class 4",
    "",
    "34.6 W33.2 to 36.1 W",
    "60.0 W",
    "25.4 W23.9 to 26.8 W",
    "12.1 W11.0 to 13.0 W",
  ]);
  expect(plain(screen.getByRole("img").getAttribute("aria-label"))).toBe(
    "draw 34.6 W, 33.2 W to 36.1 W; budget 60.0 W",
  );
  // Drawn to one scale: 2 % beyond the budget is the whole.
  expect(container.querySelector(".time-bar .time-own")?.getAttribute("width")).toBe("56.54%");
  expect(container.querySelectorAll(".time-bar .time-poor").length).toBe(0);
});

test("what may reach beyond the budget has a mark of its own; a draw that is not known says what is missing", () => {
  const figure = answer.wires.supplies[0]?.worst_draw;
  if (!figure) throw new Error("there is a supply");
  const { container } = schedules("supplies", {
    of: supplyWith({
      worst_draw: { ...figure, value: null, low: 20, high: 71, missing: ["the length of `l3`"] },
    }),
  });
  expect(container.querySelectorAll(".time-bar .time-poor").length).toBe(1);
  expect(rowsOf("Schedule of supplies over data cables")[0]?.[3]).toBe("unknownneeds the length of `l3`");
});

test("each powered part has its voltage against the least it has to have", async () => {
  const { onSelect } = schedules("fed", { selected: { kind: "cable", id: "l3" } });
  const rows = rowsOf("Schedule of powered parts");
  expect(rows[0]).toEqual([
    "AP-1fed by switch",
    "4",
    "2",
    "21.5 W",
    "22.4 W21.9 to 23.1 W",
    "48.1 V46.9 to 56.2 V",
    "42.5 V4.4 V above",
    "0.45 A0.39 to 0.46 A",
    "A-01",
  ]);
  expect(rows[1]?.slice(5, 7)).toEqual(["unknownneeds the length of `l3`", "37.0 V"]);
  expect(screen.getAllByRole("button", { pressed: true }).map((b) => b.textContent)).toEqual(["AP-2"]);
  await userEvent.click(screen.getByRole("button", { name: "AP-1" }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "part", id: "ap-1" });
});

test("a voltage that is too low, and a part that cannot be fed so, say so", () => {
  const [supply] = answer.wires.supplies;
  const [first] = supply?.fed ?? [];
  if (!supply || !first) throw new Error("something is fed");
  const low = { ...first, voltage: { ...first.voltage, value: 41.6, low: 39.5 } };
  schedules("fed", { of: supplyWith({ fed: [low, { ...first, part: "box", class: 9, pairs: null }] }) });
  const rows = rowsOf("Schedule of powered parts");
  expect(rows[0]?.[6]).toBe("42.5 V3.0 V too low");
  expect(rows[1]?.[1]).toBe("cannot be fed so");
  expect(rows[1]?.[8]).toBe("no cable joins them");
});

test("bundles say how warm it is around and inside; limits and their source are told", () => {
  schedules("warmth");
  expect(rowsOf("Schedule of warmth of cables")[0]).toEqual([
    "A-01, A-02, A-03",
    "3",
    "2",
    "in a framed wall",
    "1.4 m",
    "25.0 °C",
    "1.8 K1.2 to 4.1 K",
  ]);
  expect(plain(screen.getByText(/TSB-184-A/).textContent)).toContain("At most 15.0 K warmer, and 24 cables");
});

test("the order of start-up says when, what, how much at most, and whether it fits", () => {
  schedules("start");
  expect(rowsOf("Order of start-up")).toEqual([
    ["switch, 1", "0 s", "AP-1", "25.7 W", "60.0 W", "yes"],
    ["switch, 2", "0.2 s", "AP-2", "48.1 W", "60.0 W", "yes"],
  ]);
  expect(screen.getByText(/starts in 2 steps; all at once would take 51.3/)).toBeTruthy();
  cleanup();
  schedules("start", {
    of: supplyWith({
      budget: 40,
      start: { steps: [{ after: 0, parts: ["ap-1"], peak: 48 }], together: 51.3, fits: false },
    }),
  });
  expect(rowsOf("Order of start-up")[0]?.[5]).toBe("too much");
  expect(screen.getByText(/No order of starts fits switch/)).toBeTruthy();
});

test("batteries say load, runtime new and old, recharge and standby; a discharge is drawn in stages", () => {
  schedules("batteries");
  expect(rowsOf("Schedule of battery supplies")[0]).toEqual([
    "battery",
    "36.4 W",
    "45.5 W",
    "2.3 h2.6 h at best",
    "1.7 h",
    "6 h",
    "43.8 kWh",
  ]);
  expect(plain(screen.getByRole("img").getAttribute("aria-label"))).toBe(
    "Stages of a discharge of battery: 0 s to 1 h at 36.4 W; 1 h to 2.8 h at 21.5 W",
  );
  cleanup();
  const [battery] = batteries;
  if (!battery) throw new Error("there is a battery");
  const problem = "a load above what it bears";
  schedules("batteries", {
    on: [{ ...battery, runtime: null, runtime_low: null, runtime_high: null, stages: [], problem }],
  });
  expect(rowsOf("Schedule of battery supplies")[0]?.[3]).toBe(`unknown${problem}`);
  expect(screen.queryByRole("img")).toBeNull();
  cleanup();
  schedules("batteries", { on: null });
  expect(screen.getByText("The battery supplies are not known yet.")).toBeTruthy();
}, 20_000);

test("what hangs on a battery says over which data cable, what it takes and what is lost", async () => {
  const { onSelect } = schedules("loads");
  expect(rowsOf("Schedule of loads on batteries")[2]).toEqual([
    "AP-1",
    "battery",
    "switch",
    "14.9 W",
    "1.9 W",
    "40.9 %",
  ]);
  await userEvent.click(screen.getByRole("button", { name: "AP-1" }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "part", id: "ap-1" });
});

test("feeds say from what each part is powered, and where no outlet is known", () => {
  schedules("feeds");
  const rows = rowsOf("Schedule of feeds");
  expect(rows[0]?.slice(0, 4)).toEqual(["battery", "Utility room", "mains outlet", "m5"]);
  expect(rows[3]).toEqual([
    "termination",
    "Utility room",
    "mains, no outlet known near it",
    "–unknown",
    "unknown",
  ]);
  expect(rows[4]).toEqual(["AP-1", "Living room", "data cable", "switch", "–data cable"]);
});

test("every schedule can be chosen and exported", async () => {
  for (const part of powerParts) {
    schedules(part);
    await userEvent.click(screen.getByRole("button", { name: /^Export / }));
    expect(saved.at(-1)?.name).toBe(`made-up-home-home-run-${part}.csv`);
    expect(saved.at(-1)?.content.split("\r\n").length).toBeGreaterThan(2);
    expect(screen.getAllByRole("radio")).toHaveLength(powerParts.length);
    cleanup();
  }
}, 20_000);

test("the headline names the supply with least in hand, or what is short or not known", () => {
  const said = (of: CablingAnswer) => plain(headline(of.wires.supplies, reader));
  const margin = answer.wires.supplies[0]?.margin;
  if (!margin) throw new Error("there is a supply");
  expect(said(answer)).toBe("switch has the least in hand: 23.9 W of 60.0 W at the highest draw.");
  expect(said(supplyWith({ margin: { ...margin, value: 2, low: -3.5 } }))).toBe(
    "switch gives too little: 3.5 W short of 60.0 W at the highest draw.",
  );
  expect(said(supplyWith({ margin: { ...margin, value: null, low: null } }))).toBe(
    "What switch has in hand is not known.",
  );
  expect(headline([], reader)).toBe("No part of this design feeds others over data cables.");
});

test("a part that is selected tells what it is fed from, its voltage, and what it gives", () => {
  const panel = (id: string) =>
    render(
      <PowerPanel
        answer={answer}
        batteries={batteries}
        house={house}
        selected={{ kind: "part", id }}
        staleNote={null}
        reader={reader}
        onClear={() => undefined}
      />,
    );
  panel("ap-1");
  const part = plain(screen.getByRole("region", { name: "AP-1" }).textContent);
  expect(part).toContain("Powered from, data cableswitch");
  expect(part).toContain("48.1 V");
  expect(plain(screen.getByRole("region", { name: "Power" }).textContent)).toContain(
    "Runtime, battery2.3 h1.7 h when old",
  );
  cleanup();
  panel("battery");
  expect(plain(screen.getByRole("region", { name: "battery" }).textContent)).toContain("Runtime, old1.7 h");
});

test("axe finds nothing in any schedule", async () => {
  for (const part of powerParts) {
    const { container } = schedules(part);
    const { violations } = await axe.run(container, { rules: { "color-contrast": { enabled: false } } });
    expect(violations.map(({ id }) => [part, id])).toEqual([]);
    cleanup();
  }
}, 60_000);
