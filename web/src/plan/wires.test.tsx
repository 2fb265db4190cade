import { act, cleanup, fireEvent, render, screen, within } from "@testing-library/react";
import axe from "axe-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { overlap } from "../geometry/oriented.ts";
import { placeLabels } from "../geometry/placement.ts";
import type { DrawnCable, DrawnWires, P3, Selection } from "./contract.ts";
import { design, house } from "./fixture.ts";
import { PlanSheet, type PlanSheetProps } from "./PlanSheet.tsx";
import { PlanTable } from "./PlanTable.tsx";
import { cablePlaces } from "./wire-labels.ts";
import { routedLinks, weightOfRun, wiresByStorey } from "./wires.ts";

beforeAll(() => {
  // The test page has no layout.
  vi.spyOn(HTMLElement.prototype, "clientWidth", "get").mockReturnValue(900);
  vi.spyOn(HTMLElement.prototype, "clientHeight", "get").mockReturnValue(700);
  vi.stubGlobal(
    "ResizeObserver",
    class {
      observe() {}
      unobserve() {}
      disconnect() {}
    },
  );
});
afterAll(() => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

type Step = [look: DrawnCable["stretches"][number]["look"], to: P3, isLow?: boolean];

function cable(id: string, start: P3, steps: Step[], more: Partial<DrawnCable> = {}): DrawnCable {
  let from = start;
  return {
    id,
    lettering: [`${id.toUpperCase()}, 12.4 m`, id.toUpperCase()],
    stretches: steps.map(([look, to, isLow = false]) => {
      const stretch = { look, from, to, isLow };
      from = to;
      return stretch;
    }),
    device: null,
    isPowered: false,
    text: `Cable ${id}`,
    ...more,
  };
}

const panel: P3 = [9.7, 6.4, 1.2];
const top: P3 = [9.7, 6.4, 2.5];

const wires: DrawnWires = {
  cables: [
    cable("l2", panel, [
      ["wall", top],
      ["floor", [9.7, 3.4, 2.5]],
      ["floor", [4.6, 3.4, 2.5]],
    ]),
    cable("l3", panel, [
      ["wall", top],
      ["floor", [9.7, 2.4, 2.5]],
      ["wall", [9.7, 2.4, 3.2]],
      ["wall", [8, 2.4, 3.2]],
    ]),
    cable(
      "l5",
      panel,
      [
        ["open", [8.9, 6.4, 0.1]],
        ["raceway", [8.9, 1, 0.1]],
      ],
      { device: [8.9, 1, 0.1], isPowered: true },
    ),
  ],
  holes: [
    { id: "hole-1", kind: "wall", at: [9.7, 4.4, 2.5], isSealed: false, text: "hole-1, inside wall" },
    { id: "hole-2", kind: "floor", at: [9.7, 2.4, 2.7], isSealed: true, text: "hole-2, floor" },
  ],
  feeds: [],
  isPower: false,
  chosen: null,
};

describe("cables storey by storey", () => {
  const sheets = wiresByStorey(house, wires);

  it("are one line where they run together, cut where one leaves", () => {
    const floor = sheets.get("ground")?.runs.filter(({ look }) => look === "floor") ?? [];
    expect(floor.map(({ cables }) => cables)).toEqual([["l3"], ["l2", "l3"], ["l2"]]);
    const [alone, together] = floor;
    expect(together && Math.abs(together.a[1] - together.b[1])).toBeCloseTo(3);
    expect(alone && Math.abs(alone.a[1] - alone.b[1])).toBeCloseTo(1);
    expect([1, 2, 5, 6].map(weightOfRun)).toEqual([0, 1, 1, 2]);
  });

  it("have a mark where they leave a storey and where they enter the next, and their holes there", () => {
    const [ground, upper] = [sheets.get("ground"), sheets.get("upper")];
    expect(ground?.rises).toEqual([{ at: [9.7, 2.4], up: true, down: false, beside: false, cables: ["l3"] }]);
    expect(upper?.rises).toEqual([{ at: [9.7, 2.4], up: false, down: true, beside: false, cables: ["l3"] }]);
    expect(upper?.runs.map(({ look, cables }) => [look, cables])).toEqual([["wall", ["l3"]]]);
    expect(ground?.holes.map(({ id }) => id)).toEqual(["hole-1", "hole-2"]);
    expect(ground?.drops.map(({ cables }) => cables)).toEqual([["l2", "l3"]]);
    expect(ground?.ends).toEqual([{ at: [8.9, 1], cable: "l5" }]);
  });

  it("cross a storey that they only pass: a mark both ways", () => {
    const [ground, upper] = house.storeys;
    if (!ground || !upper) throw new Error("two storeys");
    const attic = { ...upper, id: "attic", floor_z: 5.4 };
    const tall = { ...house, storeys: [ground, upper, attic] };
    const through = { ...wires, cables: [cable("l9", [2, 2, 1], [["shaft", [2, 2, 6]]])], holes: [] };
    const found = wiresByStorey(tall, through);
    expect(["ground", "upper", "attic"].map((id) => found.get(id)?.rises[0])).toMatchObject([
      { up: true, down: false },
      { up: true, down: true },
      { up: false, down: true },
    ]);
  });

  it("in the ground lead to a storey beside this one, neither up nor down", () => {
    const [ground] = house.storeys;
    if (!ground) throw new Error("a ground floor");
    const away = (p: readonly [number, number]) => [p[0] + 20, p[1]] as const;
    const office = {
      ...ground,
      id: "office",
      floor_z: 0.1,
      rooms: ground.rooms.map((room) => ({ ...room, outline: room.outline.map(away), holes: [] })),
    };
    const garden = { ...house, storeys: [ground, office] };
    const laid = cable(
      "l9",
      [9, 1, -0.6],
      [
        ["buried", [25, 1, -0.6], true],
        ["open", [25, 1, 0.6]],
      ],
    );
    const found = wiresByStorey(garden, { ...wires, cables: [laid], holes: [] });
    expect(found.get("ground")?.runs.map(({ look }) => look)).toEqual(["buried"]);
    for (const id of ["ground", "office"]) {
      expect(found.get(id)?.rises).toMatchObject([{ up: false, down: false, beside: true, at: [25, 1] }]);
    }
  });

  it("are no schema where their way is known", () => {
    expect([...routedLinks(wires)]).toEqual(["l2", "l3", "l5"]);
    expect([...routedLinks(undefined)]).toEqual([]);
  });
});

function sheet(props: Partial<PlanSheetProps> = {}) {
  const onSelect = vi.fn<(selection: Selection | null) => void>();
  const all: PlanSheetProps = {
    house,
    storey: "ground",
    title: "Cabling",
    design,
    wires,
    onSelect,
    ...props,
  };
  const { container } = render(<PlanSheet {...all} />);
  return { container, onSelect };
}

function tap(window: HTMLElement, x: number, y: number): void {
  act(() => {
    const at = { clientX: x, clientY: y, pointerId: 1, isPrimary: true, button: 0, pointerType: "mouse" };
    fireEvent.pointerDown(window, at);
    fireEvent.pointerUp(window, at);
  });
}

describe("the drawing", () => {
  it("says what each style of line and mark means, and no more", () => {
    sheet();
    const key = screen.getByRole("list", { name: "Styles of line and marks" });
    expect(
      within(key)
        .getAllByRole("listitem")
        .map((item) => item.textContent),
    ).toEqual([
      "in a floor",
      "in a surface channel",
      "in the open",
      "2 to 5, 6 or more together",
      "hole in a wall",
      "hole in a floor",
      "sealed against fire",
      "to another storey",
    ]);
  });

  it("tells of a schema only where a way is not known", () => {
    const schema = "Lines between parts are schematic, not routes";
    sheet();
    expect(screen.getByText(new RegExp(schema))).toBeTruthy();
    const all = { ...wires, cables: [...wires.cables, cable("l4", panel, [["open", [0.28, 7.4, 0.4]]])] };
    const { container } = sheet({ wires: all });
    expect(container.textContent).not.toContain(schema);
  });

  it("letters each cable and keeps labels apart", () => {
    const { container } = sheet();
    const said = [...container.querySelectorAll(".plan-label-wire")].map((label) => label.textContent);
    expect(said.sort()).toEqual(["L2, 12.4 m", "L3, 12.4 m", "L5, 12.4 m"]);
  });

  it("selects a cable by its line; where two run together the second press takes the other", () => {
    const { container, onSelect } = sheet();
    const line = container.querySelector('[data-way="raceway"]')?.getAttribute("d") ?? "";
    const [x0 = 0, y0 = 0, x1 = 0, y1 = 0] = [...line.matchAll(/-?[\d.]+/g)].map(Number);
    tap(screen.getByRole("application"), (x0 + x1) / 2 + 1, (y0 + y1) / 2);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "cable", id: "l5" });
    // The other two run together 0.8 m beside it: one metre is as long here as there.
    const metre = Math.hypot(x1 - x0, y1 - y0) / 5.4;
    const beside = [Math.max(x0, x1) + 0.8 * metre, Math.min(y0, y1) + 2.6 * metre] as const;
    tap(screen.getByRole("application"), ...beside);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "cable", id: "l2" });
    cleanup();
    const again = sheet({ selected: { kind: "cable", id: "l2" } });
    tap(screen.getByRole("application"), ...beside);
    expect(again.onSelect).toHaveBeenLastCalledWith({ kind: "cable", id: "l3" });
  });

  it("draws what is selected over all else, which is lighter", () => {
    const chosen = { cables: new Set(["l2"]), holes: new Set(["hole-1"]) };
    const { container } = sheet({ wires: { ...wires, chosen }, selected: { kind: "hole", id: "hole-1" } });
    expect(container.querySelectorAll(".plan-wire-chosen").length).toBeGreaterThan(0);
    expect(container.querySelectorAll(".plan-wires > .plan-wire-plain").length).toBe(0);
    expect(container.querySelector('[data-hole="hole-2"] .plan-lighter')).not.toBeNull();
    expect(container.querySelector('[data-hole="hole-1"] .plan-lighter')).toBeNull();
    expect(container.querySelectorAll(".plan-selected").length).toBe(1);
  });

  it("leads keys through cables and holes", () => {
    const { onSelect } = sheet({ selected: { kind: "cable", id: "l5" } });
    fireEvent.keyDown(screen.getByRole("application"), { key: "n" });
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "hole", id: "hole-1" });
    expect(screen.getByRole("status").textContent).toContain("hole-1, inside wall, selected");
  });

  it("shows all storeys with upright lines between them", () => {
    const { container } = sheet({ storey: "all" });
    expect(container.querySelectorAll(".plan-wire-rise").length).toBe(1);
    expect(container.querySelectorAll("[data-rise]").length).toBe(2);
  });

  it("draws feeds from outlets, and cables without power lighter", () => {
    const feeds: DrawnWires["feeds"] = [
      { part: "ap-1", from: "mains", to: [4.6, 3.4, 2.38], source: [5.78, 0.9, 0.45], text: "" },
      { part: "switch", from: "battery", to: [9.7, 6.4, 1.2], source: [9.7, 6.4, 0.4], text: "" },
      { part: "outlet-1", from: "mains", to: [0.28, 7.4, 0.4], source: null, text: "" },
    ];
    const { container } = sheet({ wires: { ...wires, holes: [], feeds, isPower: true } });
    const drawn = [...container.querySelectorAll("[data-feed]")].map((feed) =>
      feed.getAttribute("data-feed"),
    );
    // What stands beside its source has no line.
    expect(drawn).toEqual(["ap-1", "outlet-1"]);
    expect(container.querySelectorAll(".plan-feed-unknown").length).toBeGreaterThan(0);
    const labels = [...container.querySelectorAll(".plan-label-wire")].map((label) => label.textContent);
    expect(labels).toEqual(["L5, 12.4 m"]);
    expect(container.querySelectorAll(".plan-wires > .plan-wire-light").length).toBeGreaterThan(0);
  });

  it("has the same in words, and axe finds nothing", async () => {
    const { container } = render(<PlanTable house={house} storey="ground" design={design} wires={wires} />);
    const holes = within(screen.getByRole("table", { name: "Holes" })).getAllByRole("row");
    expect(holes.map((row) => row.textContent)).toEqual([
      "HoleWhat it goes throughSeal",
      "hole-1hole-1, inside wallnone",
      "hole-2hole-2, floorsealed against fire",
    ]);
    expect(within(screen.getByRole("table", { name: "Cables" })).getAllByRole("row").length).toBe(4);
    const drawn = sheet();
    for (const page of [container, drawn.container]) {
      const { violations } = await axe.run(page, { rules: { "color-contrast": { enabled: false } } });
      expect(violations.map(({ id }) => id)).toEqual([]);
    }
  }, 30_000);
});

it("labels of many cables in one place never overlap, and take their short form before they are left out", () => {
  const labels = Array.from({ length: 24 }, (_, i) => ({
    id: `c${i}`,
    priority: 58,
    candidates: cablePlaces({
      id: `c${i}`,
      forms: [`A-${10 + i}, 12.4 m`, `A-${10 + i}`],
      isChosen: false,
      runs: [
        { a: [100, 200], b: [500, 200], count: 24 },
        { a: [120 + 12 * i, 200], b: [120 + 12 * i, 320], count: 1 },
      ],
    }),
  }));
  const sheetBox = { minX: 0, minY: 0, maxX: 600, maxY: 400 };
  const { placed } = placeLabels({ labels, obstacles: [], lines: [], sheet: sheetBox, gap: 2 });
  const boxes = [...placed.values()].map(({ box }) => box);
  expect(boxes.length).toBeGreaterThan(8);
  for (const [i, a] of boxes.entries()) {
    for (const b of boxes.slice(i + 1)) expect(overlap(a, b)).toBe(false);
  }
});
