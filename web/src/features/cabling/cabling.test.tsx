import { cleanup, render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import axe from "axe-core";
import { afterEach, expect, test, vi } from "vitest";
import { type CablingPart, cablingParts, type Selected } from "../../document/address.ts";
import type { Arrangement } from "../../document/listing.ts";
import { answer } from "../../document/wires.fixture.ts";
import type { CablingAnswer, House } from "../../engine/types.ts";
import { house as drawn } from "../../plan/fixture.ts";
import { CablingPanel } from "./CablingPanel.tsx";
import { CablingSchedules } from "./Schedules.tsx";

const house = drawn as unknown as House;
const reader = { locale: "en-GB", units: "metric" as const };
const imperial = { locale: "en-US", units: "feet-inches" as const };

const saved = vi.hoisted(() => [] as { name: string; content: string }[]);
vi.mock("../../ui/download.ts", () => ({
  download: (name: string, content: string) => saved.push({ name, content }),
}));
afterEach(() => {
  saved.length = 0;
});

interface Shown {
  selected?: Selected | null;
  look?: Arrangement;
  of?: CablingAnswer;
  by?: typeof reader | typeof imperial;
}

function schedules(
  part: CablingPart,
  { selected = null, look = { sort: null, find: "" }, of = answer, by = reader }: Shown = {},
) {
  const on = { onPart: vi.fn(), onLook: vi.fn(), onSelect: vi.fn() };
  const { container } = render(
    <CablingSchedules
      answer={of}
      house={house}
      job="Made-up home"
      design="Home run"
      part={part}
      look={look}
      selected={selected}
      reader={by}
      {...on}
    />,
  );
  return { ...on, container };
}

const plain = (said: string | null | undefined): string => (said ?? "").replaceAll("\u00a0", " ");

function rowsOf(name: string): string[][] {
  const rows = within(screen.getByRole("table", { name })).getAllByRole("row").slice(1);
  return rows.map((row) => [...row.querySelectorAll("th, td")].map((cell) => plain(cell.textContent)));
}

test("a cable's row says ends, kind, length with interval, ways, holes, margin, rate, delay and resistance", () => {
  schedules("cables");
  const rows = rowsOf("Schedule of cables");
  expect(rows[1]).toEqual([
    "A-01switch to AP-1",
    "category 6Acable-cat6a",
    "14.6 m13.9 to 16.1 m",
    "in the open, stud bay, along joists, across joists",
    "2",
    "23.9 dB22.8 to 25.0 dB",
    "10GBASE-T",
    "78.8 ns74.8 to 82.8 ns",
    "2.8 Ω2.6 to 3.0 Ω",
  ]);
  // A cord is not fixed; a cable without a way says so, and what is missing for its figures.
  expect(rows[0]?.slice(0, 4)).toEqual(["cordrouter to switch", "category 6", "–not fixed", "–not fixed"]);
  expect(rows[5]?.slice(2, 7)).toEqual([
    "unknownneeds a way for `l6`",
    "no way found",
    "0",
    "unknownneeds a way for `l6`",
    "no rate is sure",
  ]);
  // One that was there is said to be.
  expect(rows[4]?.[3]).toBe("in the open, surface channelthere already");
});

test("lengths are in feet and inches, rises in degrees Fahrenheit, for those who measure so", () => {
  schedules("cables", { by: imperial });
  expect(rowsOf("Schedule of cables")[1]?.[2]).toBe("48 ft46 to 53 ft");
  cleanup();
  schedules("holes", { by: imperial });
  expect(rowsOf("Schedule of holes and fire seals")[0]?.[4]).toBe('3.5"');
  cleanup();
  schedules("panel", { by: imperial });
  expect(plain(screen.getByText(/BTU\/h$/, { selector: ".interval" }).textContent)).toBe("101 to 116 BTU/h");
  expect(plain(screen.getByText(/°F$/, { selector: ".interval" }).textContent)).toBe("9 to 14 °F");
}, 20_000);

test("choosing a cable selects it, choosing it again clears; a hole marks its cables and a cable its holes", async () => {
  const { onSelect } = schedules("cables", { selected: { kind: "hole", id: "hole-1" } });
  const pressed = () => screen.getAllByRole("button", { pressed: true }).map((b) => b.textContent);
  expect(pressed()).toEqual(["A-01", "A-02", "A-03"]);
  await userEvent.click(screen.getByRole("button", { name: "A-04" }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "cable", id: "l5" });
  cleanup();
  const holes = schedules("holes", { selected: { kind: "cable", id: "l3" } });
  expect(pressed()).toEqual(["hole-1", "hole-3"]);
  await userEvent.click(screen.getByRole("button", { name: "hole-2" }));
  expect(holes.onSelect).toHaveBeenCalledWith({ kind: "hole", id: "hole-2" });
  cleanup();
  const again = schedules("cables", { selected: { kind: "cable", id: "l5" } });
  await userEvent.click(screen.getByRole("button", { name: "A-04" }));
  expect(again.onSelect).toHaveBeenCalledWith(null);
}, 20_000);

test("a hole's row says where, through what, how wide, and whether it is sealed", () => {
  schedules("holes");
  const rows = rowsOf("Schedule of holes and fire seals");
  expect(rows[2]).toEqual([
    "hole-3",
    "Kitchen, under Bedroom 2",
    "Ground floor",
    "floorg-ceiling",
    "280 mm",
    "12 mm",
    "tested seal",
    "1",
    "A-02",
  ]);
  expect(rows[0]?.[6]).toBe("none");
  expect(rows[3]?.[1]).toBe("Kitchen and Utility room");
});

test("rows are sorted and found by any column, and the file has them as shown", async () => {
  const { onLook } = schedules("cables", { look: { sort: { column: "length", isDown: true }, find: "A-0" } });
  expect(rowsOf("Schedule of cables").map(([name]) => name?.slice(0, 4))).toEqual([
    "A-04",
    "A-03",
    "A-01",
    "A-02",
    "A-05",
  ]);
  await userEvent.click(screen.getByRole("button", { name: "Holes" }));
  expect(onLook).toHaveBeenCalledWith({ sort: { column: "holes", isDown: false }, find: "A-0" });
  await userEvent.click(screen.getByRole("button", { name: "Export Schedule of cables as CSV" }));
  const file = saved.at(-1);
  expect(file?.name).toBe("made-up-home-home-run-cables.csv");
  const [head = "", first = ""] = file?.content.split("\r\n") ?? [];
  expect(head).toContain("Cable,From,To,Kind,Length [m],");
  expect(head).toContain('"Loss margin, low [dB]"');
  expect(first.startsWith("A-04,switch,television-1,category 6A,17.5,16.8,18.9,14.5,")).toBe(true);
}, 20_000);

test("every schedule is one of the sheet's, and can be exported", async () => {
  for (const part of cablingParts) {
    const { onPart } = schedules(part);
    await userEvent.click(screen.getByRole("button", { name: /^Export / }));
    expect(saved.at(-1)?.content.split("\r\n").length).toBeGreaterThan(2);
    expect(screen.getAllByRole("radio")).toHaveLength(cablingParts.length);
    const other = part === "ports" ? "Schedule of panels" : "Schedule of ports";
    await userEvent.click(screen.getByRole("radio", { name: other }));
    expect(onPart).toHaveBeenCalledWith(part === "ports" ? "panel" : "ports");
    cleanup();
  }
}, 20_000);

test("ports say what is plugged in, at which rate, with which power; free ones and absent ones say so", () => {
  schedules("ports");
  const rows = rowsOf("Schedule of ports");
  expect(rows).toContainEqual(["port 1switch", "AP-1", "A-01", "2.5 Gbit/s", "class 4", "class 4"]);
  expect(rows).toContainEqual(["port 4switch", "spare", "–spare", "–spare", "class 4", "–feeds nothing"]);
  expect(rows.at(-1)?.slice(0, 4)).toEqual(["port 6switch", "camera-1no such port", "A-05", "unknown"]);
  const summary = screen.getByRole("region", { name: "Free ports and uplinks" });
  expect(summary.textContent).toContain("switch1 port free4.5 : 1 on the uplink");
});

test("the panel is drawn from the front: what stands where, how warm, what is free", async () => {
  const { onSelect } = schedules("panel", { selected: { kind: "part", id: "router" } });
  const drawing = screen.getByRole("img", { name: /^Panel in Utility room, from the front/ });
  expect(plain(drawing.getAttribute("aria-label"))).toBe(
    "Panel in Utility room, from the front, from the top: unit 1 switch, 12.1 W; unit 2 router, 9.4 W; unit 4 battery, 6.0 W",
  );
  expect(drawing.textContent).toContain("free, 3 U");
  expect(drawing.querySelectorAll(".elevation-place.chosen").length).toBe(1);
  // What takes no height is named beside it.
  expect(screen.getByText(/On the wall or a shelf of it: termination/)).toBeTruthy();
  await userEvent.click(screen.getByRole("button", { name: "Show panel on the plan" }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "part", id: "panel" });
});

function panel(
  selected: Selected | null,
  of = answer,
  cautions: { work: string; text: string }[] | null = [],
) {
  return render(
    <CablingPanel
      answer={of}
      house={house}
      length={null}
      cautions={cautions}
      selected={selected}
      staleNote={null}
      reader={reader}
      onClear={() => undefined}
    />,
  );
}

test("the headline tells the proven gap, the graph's size, holes, and cables without a way", () => {
  panel(null, answer, [{ work: "drilling", text: "Find wires and pipes first." }]);
  const said = plain(screen.getByRole("region", { name: /^Cabling/ }).textContent);
  expect(said).toContain("at most 0.4 %");
  expect(said).toContain("812.4, proven bound 809.1");
  expect(said).toContain("1,204 places, 3,417 ways between them");
  expect(said).toContain("4, 1 sealed");
  expect(said).toContain("1 cable: A-05");
  expect(said).toContain("Crosstalk and return loss are not predicted.");
  expect(said).toContain("dual ascent on the graph of ways");
  expect(screen.getByRole("region", { name: "Cautions of this work" }).textContent).toContain(
    "drillingFind wires and pipes first.",
  );
  cleanup();
  panel(null, { ...answer, wiring: { ...answer.wiring, gap: null } }, null);
  expect(screen.getByText("no bound is proven")).toBeTruthy();
  // Cautions that are not known yet are not said to be none.
  expect(screen.queryByRole("region", { name: "Cautions of this work" })).toBeNull();
});

test("a cable that is selected tells its way step by step; a hole its place", () => {
  panel({ kind: "cable", id: "l3" });
  const cable = screen.getByRole("region", { name: "Cable A-02" });
  const steps = within(cable)
    .getAllByRole("listitem")
    .map((item) => plain(item.textContent));
  expect(steps).toEqual([
    "in the open0.1 m",
    "in a framed wall g-east1.3 m",
    "along joists g-ceiling4.1 m",
    "across joists g-ceiling0.2 m",
    "in a framed wall u-east0.7 m",
  ]);
  expect(cable.textContent).toContain("Through hole-1, hole-3");
  cleanup();
  panel({ kind: "hole", id: "hole-3" });
  expect(screen.getByRole("region", { name: "hole-3" }).textContent).toContain("Kitchen, under Bedroom 2");
});

test("a design without cables, holes or panels says so", () => {
  const empty: CablingAnswer = {
    ...answer,
    design: { ...answer.design, links: [], parts: [], feeds: [] },
    wiring: { routes: [], holes: [], made: [], gap: null, graph_places: 0, graph_ways: 0 },
    wires: { cables: [], ports: [], supplies: [], bundles: [], panels: [], notes: [] },
  };
  const said: Record<CablingPart, string> = {
    cables: "This design has no fixed cables.",
    holes: "No hole is needed.",
    pathways: "No cable is laid.",
    made: "Nothing has to be made before cables can run.",
    bundles: "No cable is laid.",
    ports: "No part of this design has ports.",
    panel: "Nothing of this design stands in a panel.",
  };
  for (const part of cablingParts) {
    schedules(part, { of: empty });
    expect(screen.getByText(said[part])).toBeTruthy();
    cleanup();
  }
});

test("axe finds nothing in any schedule", async () => {
  for (const part of cablingParts) {
    const { container } = schedules(part);
    const { violations } = await axe.run(container, { rules: { "color-contrast": { enabled: false } } });
    expect(violations.map(({ id }) => [part, id])).toEqual([]);
    cleanup();
  }
}, 60_000);
