import { render, screen } from "@testing-library/react";
import { afterAll, beforeAll, expect, it, vi } from "vitest";
import type { DrawnDevice, PlanMark, Traffic } from "./contract.ts";
import { design, house } from "./fixture.ts";
import { objectsOf } from "./objects.ts";
import { PlanSheet } from "./PlanSheet.tsx";

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

const phone: DrawnDevice = {
  id: "phone-1",
  tag: "phone-1",
  room: "living",
  at: [2, 2],
  joins: "radio",
  servedBy: null,
  weight: null,
  kind: "phone",
  served: "",
  airtime: "",
  says: "down 300 min, must stay up",
};
const traffic: Traffic = {
  devices: [phone],
  channels: new Map(),
  limits: [],
  bottleneck: null,
  chosen: null,
};

const mark = (on: PlanMark["on"], id: string, state: PlanMark["state"]): PlanMark => ({
  on,
  id,
  state,
  shape: on === "link" ? "cable" : "part",
  text: state,
});
const marks: PlanMark[] = [
  mark("part", "ap-1", "cut"),
  mark("part", "router", "off"),
  mark("device", "phone-1", "lost"),
  mark("link", "l2", "cut"),
  mark("link", "l5", "cut"),
  mark("demarcation", "demarcation", "cut"),
  mark("outlet", ground.outlets[0]?.id ?? "", "cut"),
  mark("part", "ap-2", "cut"),
];

const drawn = (storey: string, of: readonly PlanMark[] = marks) =>
  render(
    <PlanSheet
      house={house}
      storey={storey}
      design={design}
      title="Resilience"
      traffic={traffic}
      marks={of}
    />,
  );

const marked = (container: HTMLElement) =>
  [...container.querySelectorAll("[data-mark]")].map((element) => element.getAttribute("data-mark"));

it("marks parts, links, devices, outlets and the line where they are on the storey, and nothing of another", () => {
  const { container } = drawn("ground");
  expect(marked(container)).toEqual([
    "cut:ap-1",
    "off:router",
    "lost:phone-1",
    "cut:l2",
    // Its far end has no place here: the mark stands at the near one.
    "cut:l5",
    "cut:demarcation",
    `cut:${ground.outlets[0]?.id}`,
  ]);
  // A line that is drawn is drawn heavy as well.
  expect(container.querySelectorAll(".plan-marked-cut")).toHaveLength(1);
  for (const element of container.querySelectorAll("[data-mark]")) {
    const [, x, y] = /translate\((\S+) (\S+)\)/.exec(element.getAttribute("transform") ?? "") ?? [];
    expect(Number.isFinite(Number(x)) && Number.isFinite(Number(y))).toBe(true);
  }
});

it("says what the marks mean, those that occur; and tells no tale of what serves devices", () => {
  drawn("ground");
  expect(screen.getByText("in the cut")).toBeDefined();
  expect(screen.getByText("switched off")).toBeDefined();
  expect(screen.getByText("down by it")).toBeDefined();
  expect(screen.queryByText("what it is about")).toBeNull();
  expect(screen.queryByText(/Which part serves each device is not known/)).toBeNull();
});

it("marks the same things in the stacked view, on their storeys", () => {
  const { container } = drawn("all");
  expect(marked(container).filter((id) => id?.startsWith("cut:ap-"))).toEqual(["cut:ap-1", "cut:ap-2"]);
  expect(marked(container)).toContain("lost:phone-1");
});

it("tells of the marks to those who step through the objects", () => {
  const said = objectsOf(house, ground, design, [], { traffic, marks }).map(({ text }) => text);
  expect(said.find((text) => text.includes("AP-1"))).toMatch(/, cut$/);
  expect(said.find((text) => text.includes("phone-1"))).toBe(
    "phone phone-1 in Living room, down 300 min, must stay up, lost",
  );
});
