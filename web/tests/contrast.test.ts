// Holds the colours to WCAG 2.2 AA: 4.5:1 for text (1.4.3), 3:1 for controls and graphics (1.4.11).

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { expect, test } from "vitest";

const css = ["../src/ui/tokens.css", "../src/plan/plan.css"]
  .map((path) => readFileSync(resolve(import.meta.dirname, path), "utf8"))
  .join("\n");

function tokens(selector: string): Map<string, string> {
  const found = new Map<string, string>();
  const blocks = css.split("}").filter((block) => block.split("{").at(-2)?.trim().endsWith(selector));
  for (const block of blocks)
    for (const match of block.matchAll(/--([a-z0-9-]+):\s*(#[0-9a-f]{6})/g))
      found.set(match[1] ?? "", match[2] ?? "");
  return found;
}

const light = tokens(":root");
const dark = tokens(':root[data-theme="dark"]');

/** Relative luminance, WCAG 2.2 glossary. */
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const c = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [hi = 0, lo = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (hi + 0.05) / (lo + 0.05);
}

const grounds = ["paper", "panel", "raised", "chosen"];
const texts = ["ink", "ink-quiet", "ink-faint", "accent", "unsafe", "fails", "risk", "note", "good", "worse"];
const maps = [...light.keys()].filter((name) => name.startsWith("tint-"));
const pairs: [string, string, number][] = [
  ...grounds.flatMap((ground) => texts.map((text): [string, string, number] => [text, ground, 4.5])),
  ...grounds.flatMap((ground) =>
    ["rule-strong", "focus"].map((line): [string, string, number] => [line, ground, 3]),
  ),
  ...["unsafe", "fails", "risk", "note"].map((s): [string, string, number] => ["on-severity", s, 4.5]),
  ["accent-ink", "accent", 4.5],
  ...maps.flatMap((tint): [string, string, number][] => [
    ["ink", tint, 4.5],
    ["target-line", tint, 3],
    ["wall", tint, 3],
  ]),
  ["wall", "outside", 4.5],
  ["wall", "room-fill", 4.5],
  ["part-ink", "part-fill", 4.5],
  ["route", "room-fill", 3],
  ["line-light", "room-fill", 3],
  ["contour", "halo", 4.5],
  ["target-line", "halo", 4.5],
  ["ink", "halo", 4.5],
];

test("the formula gives the published extremes", () => {
  expect(contrast("#000000", "#ffffff")).toBeCloseTo(21, 5);
  expect(contrast("#777777", "#ffffff")).toBeCloseTo(4.48, 2);
});

for (const [name, theme] of [
  ["light", light],
  ["dark", dark],
] as const) {
  test(`${name}: every pair is told apart`, () => {
    const poor = pairs.flatMap(([fore, ground, least]) => {
      const [a, b] = [theme.get(fore), theme.get(ground)];
      if (!a || !b) return [`${fore} or ${ground} is missing`];
      const ratio = contrast(a, b);
      return ratio < least ? [`${fore} on ${ground}: ${ratio.toFixed(2)}, least ${least}`] : [];
    });
    expect(poor).toEqual([]);
  });

  test(`${name}: the map's steps of lightness go one way`, () => {
    const steps = maps.map((tint) => luminance(theme.get(tint) ?? "#000000"));
    const sorted = [...steps].sort((a, b) => (name === "light" ? b - a : a - b));
    expect(steps).toEqual(sorted);
  });
}

test("both themes name the same colours", () => {
  expect([...dark.keys()].sort()).toEqual([...light.keys()].sort());
  expect(maps.length).toBeGreaterThanOrEqual(8);
});
