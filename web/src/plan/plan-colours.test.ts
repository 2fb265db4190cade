import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const css = readFileSync("src/plan/plan.css", "utf8");

function block(selector: string): Map<string, string> {
  const found = new Map<string, string>();
  const at = css.indexOf(`${selector} {`);
  const body = css.slice(at, css.indexOf("}", at));
  for (const [, name = "", value = ""] of body.matchAll(/--([a-z0-9-]+): (#[0-9a-f]{6});/g))
    found.set(name, value);
  return found;
}

const linear = (hex: string): [number, number, number] => {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((i) => {
    const c = Number.parseInt(hex.slice(i, i + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  });
  return [r, g, b];
};

/** Relative luminance, WCAG 2.2 glossary. */
const luminance = (hex: string): number => {
  const [r, g, b] = linear(hex);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};

const contrast = (a: string, b: string): number => {
  const [hi = 0, lo = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (hi + 0.05) / (lo + 0.05);
};

/** Lightness of OKLab (Ottosson, 2020). */
function lightness(hex: string): number {
  const [r, g, b] = linear(hex);
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b);
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b);
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b);
  return 0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s;
}

describe.each([
  ["light", ":root"],
  ["dark", ':root[data-theme="dark"]'],
])("the tints, %s", (_, selector) => {
  const tokens = block(selector);
  const tints = Array.from({ length: 16 }, (_unused, i) => tokens.get(`tint-${i}`) ?? "");

  it("are sixteen, in even steps of lightness", () => {
    const steps = tints.slice(1).map((tint, i) => lightness(tint) - lightness(tints[i] ?? ""));
    const mean = steps.reduce((sum, step) => sum + step, 0) / steps.length;
    // Eight bits to a channel leave about 0.002 of a step open.
    for (const step of steps) expect(Math.abs(step - mean)).toBeLessThan(0.004);
    expect(Math.abs(mean)).toBeGreaterThan(0.009);
  });

  it("carry the plan's text at 4.5 to 1", () => {
    for (const text of ["plan-quiet", "plan-level", "plan-goal"]) {
      for (const tint of tints) expect(contrast(tokens.get(text) ?? "", tint)).toBeGreaterThanOrEqual(4.5);
    }
  });
});
