import { expect, test } from "vitest";
import { type Progress, steadied } from "./progress.ts";

const at = (step: string, done: number, total: number): Progress => ({ step, done, total });

test("parts of a step do not take its place, and nothing runs backwards", () => {
  const reports = [
    at("", 0, 0),
    at("candidate places", 0, 1),
    at("designing", 4, 9),
    at("designing", 3, 9),
    at("assessing", 0, 9),
    at("coverage", 0, 4),
    at("busy hour", 1, 4),
    at("assessing", 2, 9),
  ];
  let shown: Progress | null = null;
  const seen = reports.map((report) => {
    shown = steadied(shown, report);
    return shown && `${shown.step} ${shown.done}`;
  });
  expect(seen).toEqual([
    null,
    "candidate places 0",
    "designing 4",
    "designing 4",
    "assessing 0",
    "assessing 0",
    "assessing 0",
    "assessing 2",
  ]);
});
