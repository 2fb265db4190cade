import { describe, expect, it } from "vitest";
import { planPoint, screenPoint } from "./brand.ts";
import { areaText, fixed, lengthText, trimmed } from "./format.ts";
import { nextScale, paperFor, pxPerMetre, scaleBar, scaleName, scaleNumber, scaleThatFits } from "./scale.ts";
import { fitView, keepInSight, planFromScreen, screenFromPlan, zoomBy, zoomStep } from "./view.ts";

const house = { minX: -0.2, minY: -0.2, maxX: 10.4, maxY: 9.2 };
const insets = { top: 20, right: 20, bottom: 20, left: 20 };

describe("a drawing scale", () => {
  it("is 20 mm of paper to the metre at 1:50, at 96 px to the inch", () => {
    // 20 mm / 25.4 mm · 96 px
    expect(pxPerMetre(50)).toBeCloseTo(75.590551, 6);
    expect(scaleNumber(pxPerMetre(50))).toBeCloseTo(50, 12);
    // 1/4" = 1'-0" is 24 px to the foot.
    expect(pxPerMetre(48) * 0.3048).toBeCloseTo(24, 12);
  });

  it("has the trade's name", () => {
    expect(scaleName(50, "metric")).toBe("1:50");
    expect(scaleName(48, "feet-inches")).toBe('1/4" = 1\'-0"');
    expect(scaleName(63.27, "metric")).toBe("1:63.3");
    expect(scaleName(142.4, "feet-inches")).toBe("1:142");
  });

  it("is the largest working scale that fits", () => {
    expect(scaleThatFits(pxPerMetre(50), "metric")).toBe(50);
    expect(scaleThatFits(pxPerMetre(50) - 0.1, "metric")).toBe(60);
    expect(scaleThatFits(70, "feet-inches")).toBe(64);
    expect(scaleThatFits(0.0001, "metric")).toBe(2000);
  });

  it("steps both ways and stops at the ends", () => {
    expect(nextScale(50, 1, "metric")).toBe(40);
    expect(nextScale(50, -1, "metric")).toBe(60);
    expect(nextScale(55, 1, "metric")).toBe(50);
    expect(nextScale(10, 1, "metric")).toBe(10);
    expect(nextScale(2000, -1, "metric")).toBe(2000);
  });

  it("names the smallest sheet that holds the drawing", () => {
    // 10.6 m by 9.4 m at 1:50 is 212 by 188 mm: with margins 232 by 208 mm, inside A4's 297 by 210 mm.
    expect(paperFor(50, { width: 10.6, height: 9.4 }, "metric")).toBe("A4");
    expect(paperFor(50, { width: 10.6, height: 9.6 }, "metric")).toBe("A3");
    expect(paperFor(10, { width: 20, height: 10 }, "metric")).toBeNull();
  });
});

describe("a scale bar", () => {
  it("is exactly as long as it says, and round", () => {
    for (const units of ["metric", "feet-inches"] as const) {
      for (let k = 3; k < 700; k *= 1.07) {
        const bar = scaleBar(k, 200, units);
        expect(bar.px).toBeCloseTo(bar.length * k, 9);
        expect(bar.px).toBeLessThanOrEqual(200 + 1e-9);
        expect(bar.px).toBeGreaterThan(200 / 2.51);
        const inUnit = units === "metric" ? bar.length : bar.length / 0.3048;
        expect(["1", "2", "5"]).toContain(inUnit.toExponential(6).charAt(0));
        expect(bar.marks[bar.marks.length - 1]?.px).toBeCloseTo(bar.px, 9);
      }
    }
  });
});

describe("a view", () => {
  it("fits the drawing inside its insets at a working scale", () => {
    const view = fitView(house, { width: 1000, height: 700 }, insets, "metric");
    expect(scaleNumber(view.k)).toBeCloseTo(60, 9);
    const [left, bottom] = screenFromPlan(view, planPoint(house.minX, house.minY));
    const [right, top] = screenFromPlan(view, planPoint(house.maxX, house.maxY));
    expect(left).toBeGreaterThanOrEqual(20);
    expect(right).toBeLessThanOrEqual(980);
    expect(top).toBeGreaterThanOrEqual(20);
    expect(bottom).toBeLessThanOrEqual(680);
    expect(Math.abs(left - (1000 - right))).toBeLessThan(1.01);
  });

  it("turns y over, and back", () => {
    const view = fitView(house, { width: 400, height: 900 }, insets, "feet-inches");
    const p = planPoint(3.21, 4.56);
    const back = planFromScreen(view, screenFromPlan(view, p));
    expect(back[0]).toBeCloseTo(p[0], 12);
    expect(back[1]).toBeCloseTo(p[1], 12);
    expect(screenFromPlan(view, planPoint(0, 1))[1]).toBeLessThan(screenFromPlan(view, planPoint(0, 0))[1]);
  });

  it("keeps what is under the pointer when it zooms", () => {
    const view = fitView(house, { width: 1000, height: 700 }, insets, "metric");
    const at = screenPoint(321, 234);
    const before = planFromScreen(view, at);
    for (const zoomed of [
      zoomBy(view, 1.37, at),
      zoomStep(view, 1, at, "metric"),
      zoomStep(view, -1, at, "metric"),
    ]) {
      const after = planFromScreen(zoomed, at);
      expect(after[0]).toBeCloseTo(before[0], 9);
      expect(after[1]).toBeCloseTo(before[1], 9);
    }
    expect(scaleNumber(zoomStep(view, 1, at, "metric").k)).toBeCloseTo(50, 9);
  });

  it("cannot lose the drawing", () => {
    const size = { width: 1000, height: 700 };
    const view = keepInSight({ k: 60, tx: 5000, ty: -9000 }, house, size);
    const [left] = screenFromPlan(view, planPoint(house.minX, house.minY));
    const [, bottom] = screenFromPlan(view, planPoint(house.minX, house.minY));
    expect(left).toBeCloseTo(920, 9);
    expect(bottom).toBeCloseTo(80, 9);
  });
});

describe("lengths and areas", () => {
  it("are written as people write them", () => {
    expect(lengthText(3.6, "metric")).toBe("3.60 m");
    expect(lengthText(3.6068, "feet-inches")).toBe("11'-10\"");
    // 11.999" is a foot, not 0'-12".
    expect(lengthText(0.3047, "feet-inches")).toBe("1'-0\"");
    expect(areaText(12.34, "metric")).toBe("12.3 m²");
    expect(areaText(9.290304, "feet-inches")).toBe("100 sq ft");
  });

  it("use the true minus and no negative zero", () => {
    expect(fixed(-61.84, 1)).toBe("\u221261.8");
    expect(fixed(-0.04, 1)).toBe("0.0");
    expect(trimmed(-62, 1)).toBe("\u221262");
    expect(trimmed(2.5, 1)).toBe("2.5");
    expect(trimmed(100, 1)).toBe("100");
  });
});
