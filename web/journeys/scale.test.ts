/**
 * The plan is to scale: measured on the screen between ends of walls whose distance the interface gives, and in the
 * pixels of a picture. A CSS pixel is 1/96 of an inch (CSS Values and Units 4, 6.2), so 1:n is 96 / 0.0254 / n px/m.
 */

import type { Page } from "playwright-core";
import { PNG } from "pngjs";
import { expect, test } from "vitest";
import { houseOf, onScreen, type P } from "./lib/plan.ts";
import { shared } from "./lib/shared.ts";
import { plan, settled } from "./lib/steps.ts";

const { calls, visit } = shared();
const pxPerPaperMetre = 96 / 0.0254;
/** How far off a distance on the screen may be [px]. */
const tolerance = 0.5;

/** What the page says of its scale. */
async function stated(
  page: Page,
): Promise<{ ratio: number; barMetres: number; barPx: number; said: number }> {
  const words = await page.locator(".plan-foot-scale").innerText();
  const ratio = Number(/1:([\d.]+)/.exec(words)?.[1]);
  const said = Number(/1 m is ([\d.]+) px/.exec(words)?.[1]);
  const line = page.locator("line.plan-scale-length");
  const barMetres = Number(await line.getAttribute("data-metres"));
  const barPx = await line.evaluate((element) => {
    const bar = element as SVGLineElement;
    const matrix = bar.getScreenCTM() as DOMMatrix;
    return (bar.x2.baseVal.value - bar.x1.baseVal.value) * matrix.a;
  });
  return { ratio, barMetres, barPx, said };
}

/** Where ink begins and ends along a row of pixels, to a part of a pixel, near to where it is expected. */
function inkAlong(picture: PNG, y: number, from: number, to: number): [number, number] {
  const red = (x: number) => picture.data[(Math.round(y) * picture.width + x) * 4] as number;
  const edge = (expected: number, side: 1 | -1): number => {
    // Ink inside the wall is full, the sheet outside is bare; a pixel between says where in it the edge is.
    const inside = Math.round(expected) + side * 4;
    const [ink, bare] = [red(inside), red(inside - side * 8)];
    let covered = 0;
    for (let x = inside; Math.abs(x - inside) <= 8; x -= side) covered += (bare - red(x)) / (bare - ink);
    return side > 0 ? inside + 1 - covered : inside + covered;
  };
  return [edge(from, 1), edge(to, -1)];
}

test("distances on the screen are those of the scale bar and of the stated scale, at two scales", async () => {
  const id = await calls.demo("bungalow-with-alarms");
  const house = await houseOf(calls, id);
  const [storey] = house.storeys;
  if (!storey || house.units !== "metric") throw new Error("the home of this test is drawn in metres");
  const window = await visit();
  const { page } = window;
  await window.to(`/jobs/${id}/house`);
  await settled(page);
  const ratios: number[] = [];
  for (const press of [null, "Smaller scale"]) {
    if (press) await page.getByRole("button", { name: press }).click();
    await page.waitForTimeout(400);
    const { ratio, barMetres, barPx, said } = await stated(page);
    ratios.push(ratio);
    const pxPerMetre = pxPerPaperMetre / ratio;
    expect(Math.abs(barPx - barMetres * pxPerMetre)).toBeLessThan(tolerance);
    expect(Math.abs(said - pxPerMetre)).toBeLessThan(0.051);
    // Every corner of every outer wall against the first.
    const corners = storey.walls.filter((w) => w.kind === "outer").flatMap((w) => w.solids.flat());
    expect(corners.length).toBeGreaterThan(8);
    const drawn = await onScreen(page, corners);
    const [origin, start] = [corners[0] as P, drawn[0] as P];
    corners.forEach((corner, i) => {
      const metres = Math.hypot(corner[0] - origin[0], corner[1] - origin[1]);
      const px = Math.hypot((drawn[i] as P)[0] - start[0], (drawn[i] as P)[1] - start[1]);
      expect(Math.abs(px - metres * pxPerMetre)).toBeLessThan(tolerance);
      expect(Math.abs(px - (metres * barPx) / barMetres)).toBeLessThan(tolerance);
    });
    // The same in pixels of a picture: the width of the home along a row through its walls.
    const xs = corners.map(([x]) => x);
    const [least, most] = [Math.min(...xs), Math.max(...xs)];
    const height = (corners.find(([x]) => x === least)?.[1] ?? 0) + 0;
    const [left, right] = (await onScreen(page, [
      [least, height],
      [most, height],
    ])) as [P, P];
    const picture = PNG.sync.read(await page.screenshot());
    const middle = await blackRow(page, picture, left, right);
    const [inkLeft, inkRight] = inkAlong(picture, middle, left[0], right[0]);
    // Half of the line around a wall lies outside it.
    const line = await page
      .locator(".plan-wall")
      .first()
      .evaluate((wall) => getComputedStyle(wall).strokeWidth);
    const wide = inkRight - inkLeft - Number.parseFloat(line);
    expect(Math.abs(wide - (most - least) * pxPerMetre)).toBeLessThan(tolerance);
  }
  expect(ratios[0]).not.toBe(ratios[1]);
  await window.end();
});

/** A row in which both outer walls are cut: the nearest to the given one that is black at both ends. */
async function blackRow(page: Page, picture: PNG, left: P, right: P): Promise<number> {
  const frame = await plan(page).boundingBox();
  const black = (x: number, y: number) =>
    (picture.data[(y * picture.width + Math.round(x)) * 4] as number) < 80;
  const rows = Array.from({ length: Math.floor(frame?.height ?? 0) }, (_, i) => Math.ceil(frame?.y ?? 0) + i);
  const near = rows.sort((a, b) => Math.abs(a - left[1]) - Math.abs(b - left[1]));
  const row = near.find((y) => [2, 4, 5].every((by) => black(left[0] + by, y) && black(right[0] - by, y)));
  if (row === undefined) throw new Error("no row crosses both outer walls");
  return row;
}
