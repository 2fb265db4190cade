import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, test, vi } from "vitest";
import { type StayPart, stayParts } from "../../document/address.ts";
import { chosenService, componentsOf } from "../../document/staying.ts";
import { answer, known, whatIf } from "./fixture.ts";
import { ServicePanel } from "./ServicePanel.tsx";
import { StaySchedules } from "./StaySchedules.tsx";
import { WhatIfPanel } from "./WhatIfPanel.tsx";
import { cutText, minutesRange, minutesValue, upShare } from "./words.ts";

const saved = vi.hoisted(() => [] as { name: string; content: string }[]);
vi.mock("../../ui/download.ts", () => ({
  download: (name: string, content: string) => saved.push({ name, content }),
}));
afterEach(() => {
  saved.length = 0;
});

const laptop = chosenService(answer.staying, "laptop-1");

function schedules(part: StayPart, more: { off?: string[]; cut?: number } = {}) {
  const { off = [], cut = null } = more;
  const on = {
    onPart: vi.fn(),
    onLook: vi.fn(),
    onService: vi.fn(),
    onCut: vi.fn(),
    onThing: vi.fn(),
    onSwitch: vi.fn(),
  };
  render(
    <StaySchedules
      answer={answer}
      known={known}
      service={laptop}
      cut={cut}
      off={off}
      whatIf={off.length > 0 ? whatIf : null}
      isSelected={() => false}
      job="Made-up home"
      currency="EUR"
      part={part}
      look={{ sort: null, find: "" }}
      powerLink={null}
      {...on}
    />,
  );
  return on;
}

const plain = (text: string | null | undefined) => (text ?? "").replaceAll("\u00a0", " ");

function rowsOf(name: string): string[][] {
  const rows = within(screen.getByRole("table", { name })).getAllByRole("row").slice(1);
  return rows.map((row) => [...row.querySelectorAll("th, td")].map((cell) => plain(cell.textContent)));
}

test("what must stay up comes first; no figure has more digits than it bears, and what is unknown says why", () => {
  schedules("services");
  expect(rowsOf("Schedule of services").map((row) => [row[0], row[1], row[2]])).toEqual([
    [
      "LAPTOP-1must stay up, connection of the device".replace("LAPTOP", "laptop"),
      "300110 to 1,000",
      "99.94 %",
    ],
    [
      "Remote work, laptop-1must stay up, activity, with the device’s own power",
      "300110 to 1,000",
      "99.94 %",
    ],
    ["desktop-1connection of the device", "unknownneeds failures of `router`", "unknown"],
    ["Internet at the routerthe router’s connection", "300110 to 1,000", "99.94 %"],
  ]);
});

test("single points are marks by shape, said in words; outages ridden through are shares", () => {
  schedules("services");
  const [first, second] = rowsOf("Schedule of services");
  expect(first?.[3]).toBe("line, part");
  expect(second?.[3]).toBe("none");
  expect(first?.[4]).toBe("61 %");
  expect(second?.[4]).toBe("–mains do not matter");
  const key = screen.getByRole("list", { name: "Single points" });
  expect(
    within(key)
      .getAllByRole("listitem")
      .map((item) => item.textContent),
  ).toEqual(["line", "part"]);
});

test("minutes, intervals and shares of time keep to the digits that are borne", () => {
  const of = (value: number, digits: number) => ({
    value,
    low: value / 3,
    high: value * 3,
    least: 0,
    most: 0,
    digits,
  });
  const { reader } = known;
  expect(minutesValue(of(336.2, 1), reader)).toBe("300");
  expect(minutesValue(of(336.2, 2), reader)).toBe("340");
  expect(minutesValue(of(0.0416, 1), reader)).toBe("0.04");
  expect(minutesRange(of(336.2, 2), reader)).toBe("110 to 1,000");
  expect(plain(upShare(of(336.2, 1), reader))).toBe("99.94 %");
  expect(plain(upShare(of(5.2, 2), reader))).toBe("99.99901 %");
  expect(minutesValue(of(0, 3), reader)).toBe("0");
});

test("a cut is said as a sentence, with how long an outage must last", () => {
  expect(laptop?.cuts.map((cut) => plain(cutText(cut, known)))).toEqual([
    "fibre line-1 fails",
    "the mains are out for more than 1.6 h and battery-1 fails",
    "circuit Utility is out and AP-1 fails",
  ]);
});

test("the margin tells of the chosen service: figures, single points, cuts, what matters, outages, other ways", async () => {
  const on = { onService: vi.fn(), onCut: vi.fn(), onThing: vi.fn() };
  render(
    <ServicePanel
      answer={answer}
      known={known}
      service={laptop}
      cut={1}
      unplaced={["mains"]}
      staleNote={null}
      {...on}
    />,
  );
  const said = plain(screen.getByRole("region", { name: "Staying up" }).textContent);
  expect(said).toContain("laptop-1 is down for about 300 min a year.");
  expect(said).toContain("Down, if the line’s far end goes with the mains510 min");
  expect(said).toContain("Goes on for1.6 h");
  expect(said).toContain("61 % if lengths are exponential, 74 % if they are lognormal with a long tail");
  expect(said).toContain("only while the line’s far end has power, which nobody has tested");
  expect(said).toContain("Another access point, AP-1at 40 % of the usual rate");
  expect(said).toContain("Without a place on the plan: mains.");
  expect(rowsOf("What matters most")).toEqual([
    [" fibre line-1", "71 %"],
    [" router", "18 %"],
  ]);
  await userEvent.click(screen.getByRole("button", { name: "Show on the plan: Fibre line-1 fails" }));
  expect(on.onCut).toHaveBeenCalledWith(0);
  await userEvent.click(screen.getByRole("button", { name: /^Take the cut off the plan/ }));
  expect(on.onCut).toHaveBeenLastCalledWith(null);
  const [single] = screen.getAllByRole("button", { name: "router" });
  if (single) await userEvent.click(single);
  expect(on.onThing).toHaveBeenCalledWith(expect.objectContaining({ id: "router", kind: "part" }));
  await userEvent.selectOptions(screen.getByRole("combobox", { name: "Service" }), "activity:work-1");
  expect(on.onService).toHaveBeenCalledWith(expect.objectContaining({ id: "work-1" }));
});

test("cuts and importances of the service are schedules; a cut's minutes bear no more digits than the service's", async () => {
  const { onCut } = schedules("cuts", { cut: 1 });
  expect(rowsOf("Cuts of laptop-1")).toEqual([
    ["Fibre line-1 fails", "line", "1", "200"],
    ["Circuit Utility is out and AP-1 fails", "circuit with its breaker, part", "2", "unknown"],
    ["The mains are out for more than 1.6 h and battery-1 fails", "mains, battery", "2", "10"],
  ]);
  expect(screen.getByText("All cuts of up to 3 things are listed.")).toBeDefined();
  await userEvent.click(screen.getByRole("button", { name: "Fibre line-1 fails" }));
  expect(onCut).toHaveBeenCalledWith(0);
  schedules("importances");
  expect(rowsOf("What matters to laptop-1")).toEqual([
    [" fibre line-1", "line", "71 %", "1.0", "72 %"],
    [" router", "part", "18 %", "1.0", "18 %"],
  ]);
});

test("an outage of the mains is one component, whatever its lengths; a component is switched in its row", async () => {
  const [first] = componentsOf(answer.staying);
  expect(first?.takes_down).toEqual(["desktop-1", "router", "laptop-1", "work-1"]);
  const { onSwitch } = schedules("components", { off: ["ap-1"] });
  const rows = rowsOf("Schedule of components");
  expect(rows.map((row) => row.slice(0, 4))).toEqual([
    [
      " mainsmains",
      "Switch off",
      "6020 to 180",
      "4 servicesdesktop-1, Internet at the router, laptop-1, Remote work, laptop-1",
    ],
    [" circuit Utilitycircuit with its breaker", "Switch off", "6020 to 180", "–nothing"],
    [
      " fibre line-1line",
      "Switch off",
      "6020 to 180",
      "3 serviceslaptop-1, Internet at the router, Remote work, laptop-1",
    ],
    [" routerpart", "Switch off", "unknownneeds failures of `router`", "–nothing"],
    [" AP-1part", "Switch on", "6020 to 180", "–nothing"],
    [" cable router to AP-1cable", "Switch off", "taken to hold", "–nothing"],
  ]);
  await userEvent.click(screen.getByRole("button", { name: "Switch off mains" }));
  expect(onSwitch).toHaveBeenCalledWith("mains");
  await userEvent.click(screen.getByRole("button", { name: "Switch on AP-1" }));
  expect(onSwitch).toHaveBeenLastCalledWith("ap-1");
});

test("while something is off, each service says how it fares", () => {
  schedules("services", { off: ["router"] });
  const states = rowsOf("Schedule of services").map((row) => [row[0]?.slice(0, 8), row.at(-1)]);
  expect(states).toEqual([
    ["laptop-1", "goes on by another way"],
    ["Remote w", "Being computed"],
    ["desktop-", "down"],
    ["Internet", "goes on"],
  ]);
});

test("who loses what: those that must stay up first, with minutes, and a way back", async () => {
  const on = {
    onSwitch: vi.fn(),
    onUndo: vi.fn(),
    onAllOn: vi.fn(),
    onAgain: vi.fn(),
    onMinutes: vi.fn(),
  };
  render(
    <WhatIfPanel
      known={known}
      off={["router", "battery-1"]}
      outMinutes={null}
      components={componentsOf(answer.staying)}
      chosen={null}
      isIdle={false}
      answer={whatIf}
      isWorking={false}
      error={null}
      {...on}
    />,
  );
  expect(screen.getByText("1 service is down, 1 goes on by another way")).toBeDefined();
  const lost = within(screen.getByRole("list", { name: "Who loses what" })).getAllByRole("listitem");
  expect(lost.map((item) => plain(item.textContent))).toEqual([
    "goes on by another way laptop-1must stay up, by another access point, AP-1, 160 min a year more, if it lasts, only while the line’s far end has power, which nobody has tested",
    "down desktop-1",
  ]);
  expect(screen.getByText("No service hangs on battery-1.")).toBeDefined();
  await userEvent.click(screen.getByRole("button", { name: "Undo the last switch" }));
  await userEvent.click(screen.getByRole("button", { name: "Switch all on" }));
  await userEvent.click(screen.getByRole("button", { name: "Switch on router" }));
  expect([on.onUndo.mock.calls.length, on.onAllOn.mock.calls.length, on.onSwitch.mock.calls]).toEqual([
    1,
    1,
    [["router"]],
  ]);
});

test("how long the mains have been out is asked where they are off, and only there", async () => {
  const onMinutes = vi.fn();
  const panel = (off: string[]) => (
    <WhatIfPanel
      known={known}
      off={off}
      outMinutes={60}
      components={componentsOf(answer.staying)}
      chosen={null}
      isIdle={false}
      answer={whatIf}
      isWorking={false}
      error={null}
      onSwitch={vi.fn()}
      onUndo={vi.fn()}
      onAllOn={vi.fn()}
      onAgain={vi.fn()}
      onMinutes={onMinutes}
    />
  );
  const { rerender } = render(panel(["router"]));
  const minutes = () => screen.queryByRole("spinbutton", { name: "Mains or circuit out for, minutes" });
  expect(minutes()).toBeNull();
  rerender(panel(["router", "mains"]));
  const field = minutes();
  if (!field) throw new Error("no field for minutes");
  await userEvent.clear(field);
  expect(onMinutes).toHaveBeenLastCalledWith(null);
  await userEvent.type(field, "9");
  expect(onMinutes).toHaveBeenLastCalledWith(9);
});

test("outages have their sources and the assumed law; a far end that nobody tested is unknown", () => {
  schedules("outages");
  expect(rowsOf("Schedule of outages")).toEqual([
    [" mains", "1.4", "120", "17090 to 310", "exponential and lognormal", "–no line", "a published table"],
    [
      " fibre line-1",
      "0.50",
      "480",
      "20080 to 700",
      "exponential",
      "unknown until tested",
      "generic figure, from memory",
    ],
  ]);
});

test("batteries in short, and devices that run on their own", () => {
  schedules("batteries");
  expect(rowsOf("Schedule of batteries")).toEqual([
    ["battery-1", "router", "8.2 W", "11.1 W", "1.6 h1.2 h to 1.8 h", "8.0 h", "44"],
  ]);
  expect(rowsOf("Devices on their own battery")).toEqual([["laptop-1", "4.0 h", "generic for its kind"]]);
});

test("single changes are ranked by what they save for their price; a price that is missing is no nought", () => {
  schedules("changes");
  expect(rowsOf("Single changes and what they save")).toEqual([
    ["desktop-1 patched into router", "costs nothing", "12", "nothing", "€0.00"],
    ["A spare router on the shelf, fitted in 4 h", "unknown", "160", "unknown", "missing"],
  ]);
});

test("every schedule has its file", { timeout: 30_000 }, async () => {
  for (const part of stayParts) schedules(part);
  const exports = screen.getAllByRole("button", { name: /^Export / });
  expect(exports).toHaveLength(stayParts.length);
  for (const button of exports) await userEvent.click(button);
  expect(saved.map(({ name }) => name.replace("made-up-home-made-up-design-", ""))).toEqual([
    "services.csv",
    "cuts.csv",
    "importances.csv",
    "components.csv",
    "outages.csv",
    "batteries.csv",
    "changes.csv",
  ]);
  expect(saved[0]?.content.split("\r\n")[1]).toBe(
    'laptop-1,connection of the device,yes,336.2,110,1004,99.936,"line, part",61,',
  );
});
