import { expect, test } from "vitest";
import { addressOf, jobView, type View, viewFrom } from "./address.ts";

function round(view: View) {
  const address = addressOf(view);
  const [path = "", search = ""] = address.split("?");
  return viewFrom(path, search);
}

test("an address says the whole view, and leads back to it", () => {
  const views: View[] = [
    { page: "jobs", archived: false },
    { page: "jobs", archived: true },
    { page: "new" },
    { page: "import" },
    jobView("0192-a"),
    {
      ...jobView("a b/c?d", "coverage"),
      design: "15babdeb9398",
      pinned: "168e188f22b4",
      storey: "ground",
      band: "2.4",
      quantity: "rate",
      schedule: "channels",
      unmetFirst: false,
      selected: { kind: "room", id: "living:1 & 2" },
    },
    {
      ...jobView("0192-a", "capacity"),
      schedule: "activities",
      unmetFirst: true,
      selected: { kind: "channel", id: "ap-1:2.4" },
    },
    {
      ...jobView("0192-a", "cabling"),
      cablingPart: "holes",
      sort: { column: "diameter", isDown: true },
      find: "floor & attic",
      selected: { kind: "hole", id: "hole-3" },
    },
    { ...jobView("0192-a", "power"), powerPart: "batteries", sort: { column: "runtime", isDown: false } },
  ];
  const later: View[] = [
    {
      ...jobView("0192-a", "cost"),
      costPart: "take-off",
      sort: { column: "price", isDown: true },
      find: "cable, 5 m",
    },
    {
      ...jobView("0192-a", "resilience"),
      stayPart: "cuts",
      service: "laptop-1",
      cut: 3,
      off: ["mains", "ap-1"],
      outMinutes: 90,
      selected: { kind: "component", id: "mains" },
    },
  ];
  views.push(...later);
  for (const view of views) expect(round(view)).toEqual(view);
});

test("what an address cannot mean falls back or leads nowhere", () => {
  expect(
    viewFrom("/jobs/x/coverage", "?band=7&quantity=colour&selected=nothing&schedule=all&order=up"),
  ).toMatchObject({
    band: "any",
    quantity: "level",
    schedule: "channels",
    unmetFirst: false,
    selected: null,
  });
  expect(viewFrom("/jobs/x/resilience", "?cost=all&stay=1&cut=-1&off=a,,a&minutes=1e3")).toMatchObject({
    costPart: "take-off",
    stayPart: "services",
    cut: null,
    off: ["a"],
    outMinutes: null,
  });
  expect(viewFrom("/jobs/x", "")).toMatchObject({ page: "job", sheet: "house" });
  expect(viewFrom("/jobs/x/wires", "")).toMatchObject({ page: "nowhere" });
  expect(viewFrom("/jobs/%E0%A4%A/house", "")).toMatchObject({ page: "nowhere" });
  expect(viewFrom("/elsewhere", "")).toEqual({ page: "nowhere", path: "/elsewhere" });
});
