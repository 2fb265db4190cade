import { act, fireEvent, render, screen } from "@testing-library/react";
import { afterAll, beforeAll, expect, it, vi } from "vitest";
import { fitView, screenFromPlan } from "../geometry/view.ts";
import { design, house, mapOf } from "./fixture.ts";
import { type Moved, withMoved } from "./MovingMark.tsx";
import type { PartPlace } from "./PartHandle.tsx";
import { PlanSheet } from "./PlanSheet.tsx";

const SIZE = { width: 900, height: 700 };
const view = fitView(
  { minX: -0.16, minY: -0.16, maxX: 10.36, maxY: 8.76 },
  SIZE,
  { top: 26, right: 26, bottom: 18, left: 26 },
  "metric",
);

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
  HTMLElement.prototype.setPointerCapture = () => undefined;
});
afterAll(() => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

const map = mapOf(house, "ground");

/** The ground floor with its access point selected, and what is told of it. */
function sheet() {
  const doors = {
    onMove: vi.fn<(to: PartPlace) => boolean>(() => true),
    onPutDown: vi.fn(),
    onPutBack: vi.fn(),
  };
  const plan = (moved: Moved | null) => (
    <PlanSheet
      house={house}
      storey="ground"
      title="Coverage"
      design={design}
      map={map}
      selected={{ kind: "part", id: "ap-1" }}
      moved={moved}
      moveDoors={doors}
      onSelect={() => undefined}
      onProbe={() => undefined}
    />
  );
  const { container, rerender } = render(plan(null));
  return {
    ...doors,
    container,
    handle: screen.getByRole("button", { name: "Move AP-1" }),
    held: (at: readonly [number, number], isHeld = true) =>
      rerender(plan({ part: "ap-1", at, room: "living", isHeld, isBehind: false })),
  };
}

const [fx, fy] = [4.6, 3.4];
const event = (x: number, y: number) => {
  const [clientX, clientY] = screenFromPlan(view, [x, y]);
  return { clientX, clientY, pointerId: 1, button: 0, pointerType: "mouse" };
};

it("a selected part is dragged by its handle, from room to room and not into a wall", () => {
  const { handle, onMove, onPutDown } = sheet();
  act(() => {
    fireEvent.pointerDown(handle, event(fx, fy));
    fireEvent.pointerMove(handle, event(fx - 1, fy - 0.5));
  });
  expect(onMove).toHaveBeenLastCalledWith({ part: "ap-1", at: [3.6, 2.9], room: "living" });
  onMove.mockClear();
  // The wall between living room and study is at y = 4.4.
  fireEvent.pointerMove(handle, event(2, 4.4));
  expect(onMove).not.toHaveBeenCalled();
  fireEvent.pointerMove(handle, event(2, 6));
  expect(onMove).toHaveBeenLastCalledWith({ part: "ap-1", at: [2, 6], room: "study" });
  fireEvent.pointerMove(handle, event(-9, 40));
  expect(onMove).toHaveBeenCalledOnce();
  fireEvent.pointerUp(handle, event(2, 6));
  expect(onPutDown).toHaveBeenCalledOnce();
});

it("a click on the handle moves nothing, and a lost pointer puts the part back", () => {
  const { handle, onMove, onPutDown, onPutBack } = sheet();
  fireEvent.pointerDown(handle, event(fx, fy));
  fireEvent.pointerMove(handle, { ...event(fx, fy), clientX: event(fx, fy).clientX + 1 });
  fireEvent.pointerUp(handle, event(fx, fy));
  expect(onMove).not.toHaveBeenCalled();
  expect(onPutDown).not.toHaveBeenCalled();
  fireEvent.pointerDown(handle, event(fx, fy));
  fireEvent.pointerMove(handle, event(fx - 1, fy));
  fireEvent.pointerCancel(handle, event(fx - 1, fy));
  expect(onPutBack).toHaveBeenCalledOnce();
  expect(onPutDown).not.toHaveBeenCalled();
});

it("arrow keys move it by a tenth of a metre, over a wall in one go; Enter puts down, Escape puts back", () => {
  const { handle, held, onMove, onPutDown, onPutBack } = sheet();
  fireEvent.keyDown(handle, { key: "Enter" });
  expect(onPutDown).not.toHaveBeenCalled();
  fireEvent.keyDown(handle, { key: "ArrowLeft" });
  expect(onMove).toHaveBeenLastCalledWith({ part: "ap-1", at: [4.5, 3.4], room: "living" });
  // The next key goes on from there, though the drawing has not followed yet.
  fireEvent.keyDown(handle, { key: "ArrowDown", shiftKey: true });
  expect(onMove).toHaveBeenLastCalledWith({ part: "ap-1", at: [4.5, 2.9], room: "living" });
  held([4.5, 2.9]);
  // Just below the wall, which is 12 cm thick: the next step is past it.
  held([2, 4.3], false);
  fireEvent.keyDown(handle, { key: "ArrowUp" });
  expect(onMove).toHaveBeenLastCalledWith({ part: "ap-1", at: [2, 4.5], room: "study" });
  fireEvent.keyDown(handle, { key: "Enter" });
  expect(onPutDown).toHaveBeenCalledOnce();
  fireEvent.keyDown(handle, { key: "Escape" });
  expect(onPutBack).toHaveBeenCalledOnce();
  // Who goes away with Tab has put it down.
  held([2, 4.5]);
  fireEvent.blur(handle);
  expect(onPutDown).toHaveBeenCalledTimes(2);
  held([2, 4.5], false);
  fireEvent.blur(handle);
  expect(onPutDown).toHaveBeenCalledTimes(2);
});

it("while it is on the way the drawing shows where it was, and keeps all labels but its own where they are", () => {
  const { container, held } = sheet();
  const rooms = () =>
    [...container.querySelectorAll("text")]
      .filter((text) => text.textContent === "Living room" || text.textContent === "Study")
      .map((text) => text.closest("g[transform]")?.getAttribute("transform"));
  held([4.6, 2.4]);
  const before = rooms();
  const [fromX, fromY] = screenFromPlan(view, [fx, fy]);
  const [toX, toY] = screenFromPlan(view, [4.6, 2.4]);
  expect(container.querySelector(`path[d="M${fromX},${fromY}L${toX},${toY}"]`)).toBeTruthy();
  expect(screen.getByText("Cells of 0.5 m and fewer paths while it moves")).toBeTruthy();
  held([2.6, 2.4]);
  expect(rooms()).toEqual(before);
  // What changes while it moves is drawn without labels.
  expect(container.querySelectorAll(".plan-label-contour")).toHaveLength(0);
  expect(container.querySelectorAll(".plan-isoline").length).toBeGreaterThan(0);
});

it("a moved part is at its height in its new room, and nothing else of the design is touched", () => {
  const moved = withMoved(design, {
    part: "ap-1",
    at: [2, 6],
    room: "study",
    isHeld: false,
    isBehind: false,
  });
  expect(moved?.parts.find((part) => part.id === "ap-1")).toMatchObject({ at: [2, 6, 2.38], room: "study" });
  expect(moved?.parts.filter((part) => part.id !== "ap-1")).toEqual(
    design.parts.filter((part) => part.id !== "ap-1"),
  );
  expect(withMoved(design, null)).toBe(design);
});
