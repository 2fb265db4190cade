import { expect, test } from "vitest";
import { askedOf, firstAnswers, problemsAt, problemsElsewhere, withCountry } from "./newHome.ts";

const answers = firstAnswers("New home", "GB");

test("answers become a request in SI units", () => {
  const asked = askedOf({ ...answers, country: "US", area: "1000", down: "2.5" }, "a number");
  expect(asked.home?.floor_area_m2).toBeCloseTo(92.90304, 8);
  expect(asked.home?.line.down_bps).toBe(2.5e6);
  expect(asked.home?.rooms).toEqual({
    bedrooms: 3,
    bathrooms: 2,
    offices: 1,
    utility: true,
    open_kitchen: true,
  });
});

test("what is no number is a problem of its answer, and nothing is asked", () => {
  const asked = askedOf({ ...answers, area: " ", storeys: "1.5", people: "-1", up: "fast" }, "a number");
  expect(asked.home).toBeNull();
  expect(asked.problems.map((problem) => problem.path)).toEqual([
    "floor_area_m2",
    "storeys",
    "people",
    "line/up_bps",
  ]);
});

test("absurd but readable wishes are for the server to judge", () => {
  expect(askedOf({ ...answers, area: "-40", bedrooms: "20" }, "a number").home?.floor_area_m2).toBe(-40);
});

test("the area keeps its meaning when the country changes", () => {
  const american = withCountry({ ...answers, area: "120" }, "US");
  expect(american.area).toBe("1292");
  expect(withCountry(american, "DE").area).toBe("120");
  expect(withCountry({ ...answers, area: "" }, "US").area).toBe("");
});

test("problems go to their answer however the path is written", () => {
  const problems = [
    { path: "rooms.bedrooms", message: "too many", hint: "at most 2 fit" },
    { path: "/storeys", message: "none", hint: null },
    { path: "", message: "all", hint: null },
  ];
  expect(problemsAt(problems, "rooms/bedrooms")).toHaveLength(1);
  expect(problemsAt(problems, "storeys")).toHaveLength(1);
  expect(problemsElsewhere(problems, ["rooms/bedrooms", "storeys"])).toHaveLength(1);
});
