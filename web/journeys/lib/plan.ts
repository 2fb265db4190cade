/** The drawn plan, measured on the screen. */

import type { Page } from "playwright-core";
import type { CoverageMap, DesignOption, House, P, PlanAnswer } from "../../src/engine/types.ts";
import type { Calls } from "./program.ts";

export type { CoverageMap, DesignOption, House, P };

export const houseOf = (calls: Calls, id: string) => calls.get<House>(`/jobs/${id}/house`);
export const planOf = async (calls: Calls, id: string) =>
  (await calls.get<PlanAnswer>(`/jobs/${id}/plan`)).plan;

/** Where points of the storey's plan are in the window [px]. */
export async function onScreen(page: Page, points: readonly P[]): Promise<P[]> {
  return await page
    .locator(".plan-geometry")
    .first()
    .evaluate((group, list) => {
      const matrix = (group as SVGGElement).getScreenCTM() as DOMMatrix;
      return list.map(([x, y]): [number, number] => {
        const at = new DOMPoint(x, y).matrixTransform(matrix);
        return [at.x, at.y];
      });
    }, points);
}

/** The lines of the coverage, as they are drawn: thin ones and the target's. */
export async function contours(page: Page): Promise<string> {
  const paths = page.locator(".plan-geometry").locator(".plan-isoline, .plan-target");
  return (await paths.evaluateAll((all) => all.map((path) => path.getAttribute("d") ?? ""))).join("|");
}

export interface Label {
  text: string;
  /** Corners of what is inked, in the window [px]. */
  corners: P[];
  /** Labels of one group belong together, as a room's name and its area. */
  group: number;
}

/** Every label of the drawing with the ink of its letters, and every mark that stands for one. */
export async function labelsOf(page: Page): Promise<{ labels: Label[]; sheet: P[] }> {
  return await page.getByRole("application").evaluate((application) => {
    const svg = application.querySelector("svg") as SVGSVGElement;
    const pencil = document.createElement("canvas").getContext("2d") as CanvasRenderingContext2D;
    const groups = new Map<Element, number>();
    const groupOf = (element: Element): number => {
      const owner = element.closest("g[transform]") ?? element;
      const outer = owner.parentElement?.closest("g[transform]") ?? owner;
      if (!groups.has(outer)) groups.set(outer, groups.size);
      return groups.get(outer) as number;
    };
    const cornersOf = (element: SVGGraphicsElement, x: number, y: number, w: number, h: number) => {
      const matrix = element.getScreenCTM() as DOMMatrix;
      const corner = (cx: number, cy: number): [number, number] => {
        const at = new DOMPoint(cx, cy).matrixTransform(matrix);
        return [at.x, at.y];
      };
      return [corner(x, y), corner(x + w, y), corner(x + w, y + h), corner(x, y + h)];
    };
    const labels = [];
    for (const text of svg.querySelectorAll<SVGTextElement>("text")) {
      const style = getComputedStyle(text);
      if (style.visibility === "hidden" || !text.textContent) continue;
      pencil.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      const ink = pencil.measureText(text.textContent);
      const start = text.getStartPositionOfChar(0);
      const top = start.y - ink.actualBoundingBoxAscent;
      const height = ink.actualBoundingBoxAscent + ink.actualBoundingBoxDescent;
      const width = text.getComputedTextLength();
      labels.push({
        text: text.textContent,
        corners: cornersOf(text, start.x, top, width, height),
        group: groupOf(text),
      });
    }
    for (const mark of svg.querySelectorAll<SVGGraphicsElement>(".plan-keynote > path, .plan-spot")) {
      const box = mark.getBBox();
      labels.push({
        text: mark.getAttribute("class") ?? "mark",
        corners: cornersOf(mark, box.x, box.y, box.width, box.height),
        group: groupOf(mark),
      });
    }
    const frame = svg.getBoundingClientRect();
    const sheet: [number, number][] = [
      [frame.left, frame.top],
      [frame.right, frame.bottom],
    ];
    return { labels, sheet };
  });
}

/** By how much two convex shapes overlap along the direction in which they overlap least; below zero they are apart. */
function overlap(a: readonly P[], b: readonly P[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const shape of [a, b]) {
    shape.forEach(([x, y], i) => {
      const [nx, ny] = shape[(i + 1) % shape.length] as P;
      const length = Math.hypot(nx - x, ny - y);
      if (length === 0) return;
      const [ux, uy] = [(ny - y) / length, (x - nx) / length];
      const along = (points: readonly P[]) => points.map(([px, py]) => px * ux + py * uy);
      const [pa, pb] = [along(a), along(b)];
      least = Math.min(
        least,
        Math.min(Math.max(...pa), Math.max(...pb)) - Math.max(Math.min(...pa), Math.min(...pb)),
      );
    });
  }
  return least;
}

/** What is wrong with the labels: pairs that overlap, and those that leave the sheet, by more than `tolerance` [px]. */
export function collisions({ labels, sheet }: { labels: Label[]; sheet: P[] }, tolerance = 0.5): string[] {
  const wrong: string[] = [];
  const [[left, top], [right, bottom]] = sheet as [P, P];
  labels.forEach((label, i) => {
    for (const [x, y] of label.corners) {
      if (x < left - tolerance || x > right + tolerance || y < top - tolerance || y > bottom + tolerance) {
        wrong.push(`“${label.text}” leaves the sheet`);
        break;
      }
    }
    for (const other of labels.slice(i + 1)) {
      if (other.group === label.group) continue;
      const by = overlap(label.corners, other.corners);
      if (by > tolerance) wrong.push(`“${label.text}” over “${other.text}” by ${by.toFixed(1)} px`);
    }
  });
  return wrong;
}

/** The storey that a part of a design stands on. */
export function storeyOf(house: House, option: DesignOption, part: string): string {
  const { room } = option.design.parts.find(({ id }) => id === part) ?? {};
  const storey = house.storeys.find(({ rooms }) => rooms.some(({ id }) => id === room));
  if (!storey) throw new Error(`${part} stands on no storey`);
  return storey.id;
}
