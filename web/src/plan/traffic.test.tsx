import { act, fireEvent, render, screen, within } from "@testing-library/react";
import axe from "axe-core";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { distanceToSegment, inArea } from "../geometry/polygon.ts";
import type { DrawnDevice, Selection, Traffic } from "./contract.ts";
import { devicesOn } from "./devices.ts";
import { design, house } from "./fixture.ts";
import { PlanSheet, type PlanSheetProps } from "./PlanSheet.tsx";
import { PlanTable } from "./PlanTable.tsx";
import { segmentsOf } from "./places.ts";

const [ground] = house.storeys;
if (!ground) throw new Error("the made-up home has a ground floor");

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

function device(id: string, room: string, more: Partial<DrawnDevice> = {}): DrawnDevice {
  return {
    id,
    tag: id,
    room,
    at: null,
    joins: "radio",
    servedBy: "ap-1",
    weight: 0,
    kind: "phone",
    served: "AP-1, 5 GHz",
    airtime: "0.2 % of airtime",
    ...more,
  };
}

const traffic: Traffic = {
  devices: [
    device("phone-1", "living"),
    device("laptop-1", "study", { weight: 4 }),
    device("console-1", "living", { at: [0.6, 1.4], weight: null }),
    device("television-1", "living", { at: [0.6, 2.2], joins: "cable", servedBy: "switch", weight: null }),
    device("locks", "hall", { tag: "locks ×4", joins: "other", servedBy: null, weight: null }),
    device("phone-2", "bed-2", { servedBy: "ap-2", weight: 2 }),
    device("phone-3", "bed-3", { weight: 1 }),
  ],
  channels: new Map([
    ["ap-1", ["2.4 GHz ch. 6, 20 MHz", "5 GHz ch. 42, 80 MHz"]],
    ["router", ["2.4 GHz ch. 11, 20 MHz"]],
  ]),
  limits: ["0.3", "1", "3", "10"],
  bottleneck: { on: "part", id: "ap-1" },
  chosen: null,
};

function sheet(props: Partial<PlanSheetProps> = {}) {
  const onSelect = vi.fn<(selection: Selection | null) => void>();
  const all: PlanSheetProps = {
    house,
    storey: "ground",
    title: "Capacity",
    design,
    traffic,
    onSelect,
    ...props,
  };
  const { container } = render(<PlanSheet {...all} />);
  const served = (id: string) => container.querySelector(`[data-served="${id}"]`);
  return { container, onSelect, served };
}

describe("places of devices", () => {
  it("are stated, or in their room, off its walls and apart from each other and from parts", () => {
    const many = Array.from({ length: 14 }, (_, i) => device(`phone-${i}`, "living"));
    const devices = [...traffic.devices.filter(({ at }) => at), ...many];
    const placed = devicesOn(ground, devices, design.parts);
    expect(placed).toHaveLength(devices.length);
    const room = ground.rooms.find(({ id }) => id === "living");
    if (!room) throw new Error("there is a living room");
    const moving = placed.filter((spot) => !spot.device.at);
    for (const { at } of moving) {
      expect(inArea(at, room.outline, room.holes)).toBe(true);
      for (const [a, b] of segmentsOf(room.outline))
        expect(distanceToSegment(at, a, b)).toBeGreaterThan(0.25);
      for (const part of design.parts) {
        expect(Math.hypot(part.at[0] - at[0], part.at[1] - at[1])).toBeGreaterThan(0.4);
      }
      for (const other of placed) {
        if (other.at === at) continue;
        expect(Math.hypot(other.at[0] - at[0], other.at[1] - at[1])).toBeGreaterThan(0.4);
      }
    }
    expect(placed.find((spot) => spot.device.id === "console-1")?.at).toEqual([0.6, 1.4]);
  });

  it("are found for more devices than a room has room for, the same each time", () => {
    const many = Array.from({ length: 400 }, (_, i) => device(`thing-${i}`, "wc"));
    const placed = devicesOn(ground, many, []);
    expect(placed).toHaveLength(400);
    expect(devicesOn(ground, many, []).map(({ at }) => at)).toEqual(placed.map(({ at }) => at));
  });

  it("are left to other storeys where they are of other rooms", () => {
    expect(devicesOn(ground, [device("a", "bed-1"), device("b", "no-room")], [])).toEqual([]);
  });
});

describe("the busy hour on the plan", () => {
  it("draws a line to the part that serves, as heavy as its airtime, dashed by cable, none where nothing serves", () => {
    const { served } = sheet();
    expect(served("laptop-1")?.getAttribute("class")).toBe("plan-served plan-served-4");
    expect(served("phone-1")?.getAttribute("class")).toBe("plan-served plan-served-0");
    expect(served("console-1")?.getAttribute("class")).toBe("plan-served plan-served-unknown");
    expect(served("television-1")?.getAttribute("class")).toBe("plan-cable");
    expect(served("locks")).toBeNull();
    expect(served("phone-2")).toBeNull();
  });

  it("letters channels beside a part, by itself or in a list", () => {
    sheet();
    for (const text of ["AP-1", "5 GHz ch. 42, 80 MHz", "2.4 GHz ch. 11, 20 MHz"]) {
      expect(screen.getByText(text)).toBeTruthy();
    }
  });

  it("marks a part of another storey where it is in plan", () => {
    const { container } = sheet({ storey: "upper" });
    expect(container.querySelectorAll(".plan-elsewhere")).toHaveLength(1);
    expect(screen.getByText("AP-1, Ground floor")).toBeTruthy();
  });

  it("puts brackets around what is full first, whatever that is, on its storey only", () => {
    const at = (bottleneck: Traffic["bottleneck"], storey = "ground") => {
      const { container } = sheet({ storey, traffic: { ...traffic, bottleneck } });
      const window = container.querySelector(".plan-window");
      return window?.querySelectorAll("[data-bottleneck]").length;
    };
    expect(at({ on: "part", id: "ap-1" })).toBe(1);
    expect(at({ on: "part", id: "switch" })).toBe(1);
    expect(at({ on: "device", id: "laptop-1" })).toBe(1);
    expect(at({ on: "link", id: "l2" })).toBe(1);
    expect(at({ on: "demarcation", id: "line-1" })).toBe(1);
    expect(at({ on: "part", id: "ap-1" }, "upper")).toBe(0);
    expect(at(null)).toBe(0);
  });

  it("draws lighter what the selection is not about", () => {
    const chosen = { devices: new Set(["laptop-1"]), links: new Set<string>() };
    const { container, served } = sheet({
      traffic: { ...traffic, chosen },
      selected: { kind: "device", id: "laptop-1" },
    });
    expect(served("laptop-1")?.getAttribute("class")).not.toContain("plan-lighter");
    expect(served("phone-1")?.getAttribute("class")).toContain("plan-lighter");
    expect(container.querySelectorAll("[data-device='laptop-1'] .plan-selected")).toHaveLength(1);
  });

  it("selects a device that is pressed, and with keys, and says what serves it", () => {
    const { container, onSelect } = sheet();
    const plan = screen.getByRole("application");
    const place = container.querySelector("[data-device='laptop-1']")?.getAttribute("transform") ?? "";
    const [x = 0, y = 0] = (place.match(/-?[\d.]+/g) ?? []).map(Number);
    fireEvent.pointerDown(plan, { clientX: x, clientY: y, pointerId: 1, button: 0, pointerType: "mouse" });
    fireEvent.pointerUp(plan, { clientX: x, clientY: y, pointerId: 1, button: 0, pointerType: "mouse" });
    expect(onSelect).toHaveBeenLastCalledWith({ kind: "device", id: "laptop-1" });
    // After the parts come the devices.
    const numParts = design.parts.filter((part) => part.at[2] < 2.7).length;
    const { rerender } = render(
      <PlanSheet
        house={house}
        storey="ground"
        title="Again"
        design={design}
        traffic={traffic}
        onSelect={onSelect}
      />,
    );
    let selected: Selection | null = null;
    for (let i = 0; i <= numParts; i++) {
      const again = screen.getByRole("application", { name: /^Again/ });
      act(() => again.focus());
      fireEvent.keyDown(again, { key: "n" });
      selected = onSelect.mock.lastCall?.[0] ?? null;
      rerender(
        <PlanSheet
          house={house}
          storey="ground"
          title="Again"
          design={design}
          traffic={traffic}
          selected={selected}
          onSelect={onSelect}
        />,
      );
    }
    expect(selected?.kind).toBe("device");
    const said = screen.getAllByRole("status").map((status) => status.textContent);
    expect(said.join(" ")).toMatch(/phone console-1 in Living room, served by AP-1, 5 GHz, 0.2 % of airtime/);
  });

  it("draws lines between storeys where all are shown", () => {
    const { served, container } = sheet({ storey: "all" });
    expect(served("phone-3")).not.toBeNull();
    expect(container.querySelectorAll("[data-device]")).toHaveLength(traffic.devices.length);
    expect(container.querySelectorAll(".plan-elsewhere")).toHaveLength(0);
  });

  it("says what it does not know, and explains its weights", () => {
    sheet();
    expect(
      screen.getByRole("img", { name: "Weights of lines by airtime, changing at: 0.3 %, 1 %, 3 %, 10 %" }),
    ).toBeTruthy();
    expect(screen.getByText(/stand in the middle of their room/)).toBeTruthy();
    const devices = traffic.devices.map((d) => ({ ...d, servedBy: null, weight: null }));
    sheet({ traffic: { ...traffic, devices, bottleneck: null } });
    expect(screen.getByText(/Which part serves each device is not known/)).toBeTruthy();
    expect(screen.getAllByRole("img", { name: /^Weights of lines/ })).toHaveLength(1);
  });

  it("has its devices in words, shares the selection, and axe finds nothing", async () => {
    const onSelect = vi.fn();
    const { container } = render(
      <main>
        <PlanSheet house={house} storey="ground" title="Capacity" design={design} traffic={traffic} />
        <PlanTable
          house={house}
          storey="ground"
          design={design}
          traffic={traffic}
          selected={{ kind: "device", id: "laptop-1" }}
          onSelect={onSelect}
        />
      </main>,
    );
    const table = screen.getByRole("table", { name: "Devices" });
    expect(within(table).getAllByRole("row")).toHaveLength(6);
    expect(
      within(table).getByRole("row", { name: "laptop-1 phone Study AP-1, 5 GHz 0.2 % of airtime" }),
    ).toBeTruthy();
    expect(within(table).getByRole("button", { pressed: true }).textContent).toBe("laptop-1");
    fireEvent.click(within(table).getByRole("button", { name: "locks" }));
    expect(onSelect).toHaveBeenCalledWith({ kind: "device", id: "locks" });
    const { violations } = await axe.run(container, {
      rules: { "color-contrast": { enabled: false }, region: { enabled: false } },
    });
    expect(violations.map((v) => `${v.id}: ${v.nodes[0]?.html}`)).toEqual([]);
  }, 60000);
});
