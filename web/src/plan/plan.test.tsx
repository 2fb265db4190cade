import { act, fireEvent, render, screen, within } from "@testing-library/react";
import axe from "axe-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { hull, overlap } from "../geometry/oriented.ts";
import { inArea } from "../geometry/polygon.ts";
import { fitView, planFromScreen, screenFromPlan } from "../geometry/view.ts";
import type { Design, House, Selection } from "./contract.ts";
import { coverageOf } from "./coverage.ts";
import { design, house, keynotes, mapOf, probe } from "./fixture.ts";
import { sheetLabels } from "./labels.ts";
import { linksOn } from "./links.ts";
import { PlanSheet, type PlanSheetProps } from "./PlanSheet.tsx";
import { PlanTable } from "./PlanTable.tsx";
import { partKind } from "./parts.ts";
import { partsOn, spotsOf } from "./spots.ts";

const SIZE = { width: 900, height: 700 };
const [ground, upper] = house.storeys;
if (!ground || !upper) throw new Error("the made-up home has two storeys");

beforeAll(() => {
  // The test page has no layout.
  vi.spyOn(HTMLElement.prototype, "clientWidth", "get").mockReturnValue(SIZE.width);
  vi.spyOn(HTMLElement.prototype, "clientHeight", "get").mockReturnValue(SIZE.height);
  vi.stubGlobal(
    "ResizeObserver",
    class {
      observe() {}
      unobserve() {}
      disconnect() {}
    },
  );
  vi.stubGlobal("requestAnimationFrame", (run: (t: number) => void) => {
    run(0);
    return 0;
  });
});
afterAll(() => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

function sheet(props: Partial<PlanSheetProps> = {}) {
  const onSelect = vi.fn<(selection: Selection | null) => void>();
  const onProbe = vi.fn<(at: readonly [number, number] | null, storey: string) => void>();
  const onStorey = vi.fn<(storey: string) => void>();
  const all: PlanSheetProps = {
    house,
    storey: "ground",
    title: "Coverage",
    design,
    keynotes,
    onSelect,
    onProbe,
    onStorey,
    ...props,
  };
  const { container, rerender } = render(<PlanSheet {...all} />);
  const plan = screen.getByRole("application");
  return {
    onSelect,
    onProbe,
    onStorey,
    container,
    plan,
    again: (more: Partial<PlanSheetProps>) => rerender(<PlanSheet {...all} {...more} />),
  };
}

describe("the coverage of a storey", () => {
  const map = mapOf(house, "ground");
  const coverage = coverageOf(ground, map);

  it("has every room that the map shows, and lines inside their room only", () => {
    expect(coverage.map((c) => c.room.id)).toEqual(ground.rooms.map((room) => room.id));
    for (const { room, lines } of coverage) {
      const [cx, cy] = [room.inside[0], room.inside[1]];
      for (const { points } of lines) {
        for (const [x, y] of points) {
          // A point on the outline is moved a little towards the middle before it is tested.
          expect(inArea([x + (cx - x) * 1e-6, y + (cy - y) * 1e-6], room.outline, room.holes)).toBe(true);
        }
      }
    }
  });

  it("draws the target line where the margin is nought, and only where there is a target", () => {
    const targets = coverage.flatMap(({ room, lines }) =>
      lines.filter((line) => line.isTarget).map(() => room),
    );
    expect(targets.length).toBeGreaterThan(0);
    for (const room of targets) expect(room.target).not.toBeNull();
    for (const { room, below } of coverage) if (!room.target) expect(below).toBeNull();
  });

  it("hatches only rooms that have a place below their target", () => {
    const raised = (by: number) =>
      coverageOf(ground, { ...map, margin_db: map.margin_db.map((m) => (m === null ? null : m + by)) });
    expect(raised(200).every((room) => room.below === null)).toBe(true);
    expect(raised(-200).every((room) => (room.below !== null) === (room.room.target !== null))).toBe(true);
    // With the worst cell of all a little below its target, its room is hatched.
    const worst = Math.min(...map.margin_db.flatMap((m) => (m === null ? [] : [m])));
    const room = map.room[map.margin_db.indexOf(worst)];
    const hatched = raised(-worst - 0.25).filter((drawn) => drawn.below !== null);
    expect(hatched.map((drawn) => drawn.room.id)).toContain(ground.rooms[room ?? -1]?.id);
  });

  it("draws what it can of a poor map, and a house without rooms", () => {
    const nothing = { ...map, rows: 0, columns: 0, values: [], margin_db: [], room: [] };
    expect(coverageOf(ground, nothing)).toEqual([]);
    const noLevels = coverageOf(ground, { ...map, levels: [] });
    expect(noLevels.every((room) => room.bands.length === 0 && room.floor === 0)).toBe(true);
    const flat = coverageOf(ground, { ...map, values: map.values.map((v) => (v === null ? null : -60)) });
    expect(flat.every((room) => room.lines.every((line) => line.isTarget))).toBe(true);
    const empty = { ...ground, walls: [], openings: [], rooms: [], stairs: [], outlets: [], objects: [] };
    const bare = { ...house, demarcation: null, storeys: [empty] };
    for (const storey of ["ground", "all", "no such storey"]) {
      const { container, unmount } = render(
        <PlanSheet house={bare} storey={storey} title="House" map={nothing} />,
      );
      expect(container.querySelector("svg")).toBeTruthy();
      expect(container.innerHTML).not.toContain("NaN");
      unmount();
    }
    const { container } = render(
      <PlanSheet house={{ ...house, storeys: [] }} storey="ground" title="House" />,
    );
    expect(container.innerHTML).toBe("");
  });

  it("states where nothing arrives", () => {
    const [first] = ground.rooms;
    const values = map.values.map((value, i) => (map.room[i] === 0 && i % 7 === 0 ? null : value));
    const [living] = coverageOf(ground, { ...map, values });
    expect(living?.room.id).toBe(first?.id);
    // No line is drawn where there is no value: the middle of every piece is in a cell with one.
    for (const line of living?.lines ?? []) {
      line.points.slice(1).forEach(([x, y], i) => {
        const [px = 0, py = 0] = line.points[i] ?? [];
        const column = Math.floor(((x + px) / 2 - map.origin[0]) / map.cell);
        const row = Math.floor(((y + py) / 2 - map.origin[1]) / map.cell);
        const cell = row * map.columns + column;
        if (map.room[cell] === 0) expect(values[cell]).not.toBeNull();
      });
    }
    expect(living?.numNone).toBe(values.filter((value, i) => value === null && map.room[i] === 0).length);
    const silent = coverageOf(ground, {
      ...map,
      values: map.values.map(() => null),
      margin_db: map.margin_db.map(() => null),
    });
    for (const room of silent) {
      expect(room.floor).toBeNull();
      expect(room.none).not.toBeNull();
    }
  });
});

describe("the labels of a storey", () => {
  it.each([
    [1100, 760],
    [820, 1100],
    [390, 640],
    [260, 300],
  ])("do not overlap at %i by %i", (width, height) => {
    for (const storey of house.storeys) {
      const size = { width, height };
      const view = fitView(
        { minX: -0.16, minY: -0.16, maxX: 10.36, maxY: 8.76 },
        size,
        { top: 20, right: 20, bottom: 20, left: 20 },
        "metric",
      );
      const project = (p: readonly [number, number]) => screenFromPlan(view, p);
      const spots = spotsOf(
        partsOn(storey, design, new Set(house.storeys.flatMap((s) => s.rooms.map((r) => r.id)))),
        project,
        22,
      );
      const { placed } = sheetLabels({
        rooms: storey.rooms,
        units: "metric",
        size,
        project,
        lines: coverageOf(storey, mapOf(house, storey.id)).flatMap((c) => c.lines),
        spots,
        keynotes: keynotes.filter((k) => k.storey === storey.id),
        outlets: storey.outlets,
        objects: storey.objects,
        stairs: [],
        demarcation: null,
        solids: storey.walls.flatMap((wall) => wall.solids.map((solid) => solid.map(project))),
        obstacles: [],
        soft: [],
        selected: null,
      });
      const boxes = [...placed.values()].map((c) => c.box);
      expect(boxes.length).toBeGreaterThan(width > 300 ? 8 : 0);
      boxes.forEach((a, i) => {
        const around = hull(a);
        expect(around.minX).toBeGreaterThanOrEqual(0);
        expect(around.maxX).toBeLessThanOrEqual(width);
        expect(around.minY).toBeGreaterThanOrEqual(0);
        expect(around.maxY).toBeLessThanOrEqual(height);
        for (const b of boxes.slice(i + 1)) expect(overlap(a, b)).toBe(false);
      });
      // Findings are never left out while there is room on the sheet.
      if (width > 300)
        for (const k of keynotes)
          if (k.storey === storey.id) expect(placed.has(`keynote:${k.id}`)).toBe(true);
    }
  });
});

describe("parts and links", () => {
  it("are told by the first word of the equipment's id", () => {
    expect(partKind("ap-ax-2x2-ceiling")).toBe("access-point");
    expect(partKind("router-wired")).toBe("router");
    expect(partKind("router-ax")).toBe("gateway");
    expect(partKind("patch-panel-12")).toBe("patch-panel");
    expect(partKind("something-of-ours")).toBe("other");
  });

  it("stand where their room is; links to devices are counted, not guessed", () => {
    const rooms = new Set(house.storeys.flatMap((s) => s.rooms.map((r) => r.id)));
    const here = partsOn(ground, design, rooms);
    expect(here.map((part) => part.id)).toEqual([
      "panel",
      "termination",
      "router",
      "switch",
      "ap-1",
      "outlet-1",
    ]);
    const { links, risers, numNotDrawn } = linksOn(design, here);
    expect(links.map((link) => link.id)).toEqual(["l2", "l4"]);
    expect(risers).toEqual([{ at: [9.7, 6.4], up: true }]);
    expect(numNotDrawn).toBe(1);
    const above = linksOn(design, partsOn(upper, design, rooms));
    expect(above.links.map((link) => link.id)).toEqual(["l3"]);
    expect(above.risers).toEqual([{ at: [9.7, 6.4], up: false }]);
    expect(linksOn(undefined as Design | undefined, [])).toEqual({ links: [], risers: [], numNotDrawn: 0 });
  });
});

describe("the sheet", () => {
  it("says what it shows and at which scale", () => {
    const { plan } = sheet({ map: mapOf(house, "ground") });
    expect(plan.getAttribute("aria-label")).toBe("Coverage, Ground floor, 1:60");
    expect(screen.getByText("1:60 on A4")).toBeTruthy();
    expect(screen.getByRole("img", { name: "Scale bar, 2 m" })).toBeTruthy();
    expect(screen.getByRole("img", { name: "North, 20\u00b0 clockwise from up the sheet" })).toBeTruthy();
    expect(screen.getByRole("img", { name: /^Levels in dBm: \u221268/ })).toBeTruthy();
  });

  it("has a scale bar as long as it says", () => {
    const { container, plan } = sheet();
    for (const key of ["+", "-", "-", "-"]) {
      fireEvent.keyDown(plan, { key });
      const line = container.querySelector(".plan-scale-length");
      const k = Number(
        /matrix\(([\d.]+)/.exec(
          container.querySelector(".plan-geometry")?.getAttribute("transform") ?? "",
        )?.[1],
      );
      const px = Number(line?.getAttribute("x2")) - Number(line?.getAttribute("x1"));
      expect(px).toBeCloseTo(Number(line?.getAttribute("data-metres")) * k, 9);
    }
  });

  it("steps through its objects and says them", () => {
    const { plan, onSelect, again } = sheet();
    fireEvent.keyDown(plan, { key: "n" });
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "keynote", id: "k1" });
    expect(screen.getByRole("status").textContent).toBe("Keynote 1, fails, selected");
    again({ selected: { kind: "keynote", id: "k4" } });
    fireEvent.keyDown(plan, { key: "n" });
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "part", id: "panel" });
    expect(screen.getByRole("status").textContent).toContain("panel panel in Utility room");
    fireEvent.keyDown(plan, { key: "Escape" });
    expect(onSelect).toHaveBeenLastCalledWith(null);
  });

  it("changes the storey by one key", () => {
    const { plan, onStorey } = sheet();
    fireEvent.keyDown(plan, { key: "PageUp" });
    expect(onStorey).toHaveBeenLastCalledWith("upper");
    fireEvent.keyDown(plan, { key: "1" });
    expect(onStorey).toHaveBeenLastCalledWith("ground");
    fireEvent.keyDown(plan, { key: "0" });
    expect(onStorey).toHaveBeenLastCalledWith("all");
  });

  it("moves the probe by steps and says the value", () => {
    const { plan, onProbe, again } = sheet({ probe });
    fireEvent.keyDown(plan, { key: "ArrowRight" });
    expect(onProbe).toHaveBeenLastCalledWith([1.75, 6.25], "ground");
    again({ probe: { ...probe, at: [1.75, 6.25] } });
    expect(screen.getByRole("status").textContent).toBe("\u221261.8 dBm in Study, below the target");
    fireEvent.keyDown(plan, { key: "ArrowUp", shiftKey: true });
    expect(onProbe).toHaveBeenLastCalledWith([1.75, 7.25], "ground");
  });

  it("shows the legs of the probe, which add up to the level", () => {
    const { container } = sheet({ probe });
    const rows = [...container.querySelectorAll(".plan-callout tr")].map((row) => row.textContent);
    expect(rows).toEqual([
      "Radiated power20.0 dBm",
      "Free space, 4.3 m\u221260.1 dB",
      "Made-up assembly, 31\u00b0\u22124.4 dB",
      "Reflections1.9 dB",
      "Level\u221261.8 dBm",
      "Paths, the strongest first",
      "direct, 1 crossing, 14.4\u00a0ns\u221263.7 dBm",
      "reflected by the party wall of Study, 1 crossing, 23.7\u00a0ns\u221268.1 dBm",
      "round an edge of the opening of Living room, reflected by the floor, 18.7\u00a0ns\u221279.5 dBm",
      "4 more paths",
    ]);
  });

  it("draws the paths of the probe, each turn by its shape, and points one out", () => {
    const { container, again } = sheet({ probe });
    const drawn = () => [...container.querySelectorAll("[data-path]")];
    const marks = (path: Element | undefined, selector: string) => path?.querySelectorAll(selector).length;
    // The strongest lies above the others; the ring is where the wall costs level, not where the open door does not.
    expect(drawn().map((path) => path.getAttribute("data-path"))).toEqual(["2", "1", "0"]);
    const [edge, mirror, direct] = drawn();
    expect(marks(direct, "circle.plan-ray-mark")).toBe(1);
    expect(marks(mirror, "path.plan-ray-mark")).toBe(1);
    expect(marks(mirror, "circle")).toBe(0);
    expect(marks(edge, "path.plan-ray-edge")).toBe(1);
    expect(marks(edge, "path.plan-ray-mark")).toBe(1);
    expect(Number(direct?.getAttribute("opacity"))).toBeGreaterThan(Number(mirror?.getAttribute("opacity")));
    again({ probe, path: 1 });
    const [, , chosen] = drawn();
    expect(chosen?.getAttribute("data-path")).toBe("1");
    expect(chosen?.getAttribute("opacity")).toBe("1");
    expect(marks(chosen, "circle.plan-ray-mark")).toBe(1);
    expect(drawn().every((path) => path === chosen || path.getAttribute("opacity") === "0.2")).toBe(true);
  });

  it("holds the probe where a mouse clicks, until the cross is clicked or Escape is pressed", () => {
    const onHold = vi.fn();
    const { plan, onProbe, again } = sheet({ onHold });
    vi.spyOn(plan, "getBoundingClientRect").mockReturnValue({ left: 0, top: 0 } as DOMRect);
    plan.setPointerCapture = () => undefined;
    const at = { clientX: 300, clientY: 300, pointerId: 1, button: 0, pointerType: "mouse" };
    const click = () =>
      act(() => {
        fireEvent.pointerDown(plan, at);
        fireEvent.pointerUp(plan, at);
      });
    click();
    const [held, storey] = onHold.mock.calls[0] ?? [];
    expect(storey).toBe("ground");
    again({ onHold, isProbeHeld: true, probe: { ...probe, at: held } });
    onProbe.mockClear();
    fireEvent.pointerMove(plan, { ...at, clientX: 500 });
    fireEvent.pointerOut(plan, { ...at, relatedTarget: document.body });
    expect(onProbe).not.toHaveBeenCalled();
    fireEvent.keyDown(plan, { key: "ArrowRight" });
    expect(onProbe).toHaveBeenCalledOnce();
    click();
    expect(onHold).toHaveBeenLastCalledWith(null, "ground");
    onHold.mockClear();
    fireEvent.keyDown(plan, { key: "Escape" });
    expect(onHold).toHaveBeenLastCalledWith(null, "ground");
    expect(onProbe).toHaveBeenLastCalledWith(null, "ground");
  });

  it("selects what is pressed", () => {
    const { plan, onSelect } = sheet();
    vi.spyOn(plan, "getBoundingClientRect").mockReturnValue({ left: 0, top: 0 } as DOMRect);
    plan.setPointerCapture = () => undefined;
    const view = fitView(
      { minX: -0.16, minY: -0.16, maxX: 10.36, maxY: 8.76 },
      SIZE,
      { top: 26, right: 26, bottom: 18, left: 26 },
      "metric",
    );
    const press = (x: number, y: number): void => {
      const [clientX, clientY] = screenFromPlan(view, [x, y]);
      const at = { clientX, clientY, pointerId: 1, button: 0, pointerType: "mouse" };
      act(() => {
        fireEvent.pointerDown(plan, at);
        fireEvent.pointerUp(plan, at);
      });
    };
    press(2, 2);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "room", id: "living" });
    press(4.9, 4.4);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "opening", id: "g-d1" });
    press(2, 4.4);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "wall", id: "g-mid" });
    press(4.6, 3.4);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "part", id: "ap-1" });
    press(0.2, 1.2);
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "outlet", id: "m1" });
    expect(planFromScreen(view, screenFromPlan(view, [2, 2]))[0]).toBeCloseTo(2, 9);
  });

  it("keeps the probe of a finger that lifts, not that of a mouse that leaves", () => {
    const { plan, onProbe } = sheet();
    vi.spyOn(plan, "getBoundingClientRect").mockReturnValue({ left: 0, top: 0 } as DOMRect);
    plan.setPointerCapture = () => undefined;
    const at = { clientX: 400, clientY: 300, pointerId: 2, button: 0, pointerType: "touch" };
    fireEvent.pointerDown(plan, at);
    fireEvent.pointerUp(plan, at);
    fireEvent.pointerOut(plan, { ...at, relatedTarget: document.body });
    expect(onProbe).toHaveBeenCalledTimes(1);
    expect(onProbe.mock.calls[0]?.[0]).not.toBeNull();
    fireEvent.pointerMove(plan, { ...at, pointerType: "mouse" });
    expect(onProbe).toHaveBeenCalledTimes(2);
    fireEvent.pointerOut(plan, { ...at, pointerType: "mouse", relatedTarget: document.body });
    expect(onProbe).toHaveBeenLastCalledWith(null, "ground");
  });

  it("shows all storeys stacked", () => {
    const { plan, container } = sheet({ storey: "all" });
    expect(plan.getAttribute("aria-label")).toBe("Coverage, all storeys");
    expect(within(container).getByText("Upper floor")).toBeTruthy();
    expect(within(container).getByText("Ground floor")).toBeTruthy();
  });

  it("writes feet and inches where the job has them", () => {
    const feet: House = { ...house, units: "feet-inches" };
    sheet({ house: feet });
    expect(screen.getByText("256 sq ft")).toBeTruthy();
    expect(screen.getByText(/" = 1'-0" on Arch/)).toBeTruthy();
  });

  it("has no fault that axe finds, in one storey, all storeys and words", async () => {
    for (const storey of ["ground", "all"]) {
      const { container, unmount } = render(
        <main>
          <PlanSheet
            house={house}
            storey={storey}
            title="Coverage"
            design={design}
            keynotes={keynotes}
            map={mapOf(house, "ground")}
            probe={probe}
            stale
          />
          <PlanTable
            house={house}
            storey={storey}
            design={design}
            keynotes={keynotes}
            map={mapOf(house, "ground")}
            onSelect={() => undefined}
          />
        </main>,
      );
      const { violations } = await axe.run(container, {
        rules: { "color-contrast": { enabled: false }, region: { enabled: false } },
      });
      expect(violations.map((v) => `${v.id}: ${v.nodes[0]?.html}`)).toEqual([]);
      unmount();
    }
  }, 20000);
});

describe("the plan in words", () => {
  it("has the same objects, and shares the selection", () => {
    const onSelect = vi.fn();
    render(
      <PlanTable
        house={house}
        storey="ground"
        design={design}
        keynotes={keynotes}
        selected={{ kind: "room", id: "hall" }}
        onSelect={onSelect}
      />,
    );
    const rooms = screen.getByRole("table", { name: "Rooms" });
    expect(within(rooms).getAllByRole("row")).toHaveLength(7);
    const hall = within(rooms).getByRole("row", { name: /^Hall/ });
    expect(hall.textContent).toContain("outside");
    expect(hall.textContent).toContain("1 phone");
    expect(within(hall).getByRole("button", { pressed: true })).toBeTruthy();
    fireEvent.click(within(rooms).getByRole("button", { name: "Study" }));
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "room", id: "study" });
    const parts = screen.getByRole("table", { name: "Parts" });
    expect(
      within(parts).getByRole("row", { name: /AP-1 access point Living room ceiling 2\.38 m/ }),
    ).toBeTruthy();
    expect(
      within(screen.getByRole("table", { name: "Keynotes" })).getByRole("row", {
        name: /3 note Utility room/,
      }),
    ).toBeTruthy();
  });
});
