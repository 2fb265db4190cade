import { cleanup, render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, test, vi } from "vitest";
import { type ScheduleName, type Selected, scheduleNames } from "../../document/address.ts";
import type { CapacityAnswer, Figure } from "../../engine/types.ts";
import { CapacityPanel } from "./CapacityPanel.tsx";
import { exportOf, type FileOf } from "./exports.ts";
import { answer } from "./fixture.ts";
import { CapacitySchedules } from "./Schedules.tsx";

const reader = { locale: "en-GB", units: "metric" as const };

const saved = vi.hoisted(() => [] as { name: string; content: string }[]);
vi.mock("../../ui/download.ts", () => ({
  download: (name: string, content: string) => saved.push({ name, content }),
}));
afterEach(() => {
  saved.length = 0;
});

interface Shown {
  selected?: Selected | null;
  unmetFirst?: boolean;
  of?: CapacityAnswer;
}

function schedules(schedule: ScheduleName, { selected = null, unmetFirst = false, of = answer }: Shown = {}) {
  const on = { onSchedule: vi.fn(), onUnmetFirst: vi.fn(), onSelect: vi.fn() };
  render(
    <CapacitySchedules
      answer={of}
      job="Made-up home"
      design="Two access points"
      schedule={schedule}
      unmetFirst={unmetFirst}
      selected={selected}
      reader={reader}
      {...on}
    />,
  );
  return on;
}

/** The rows of a table as a reader sees them, one text a cell. */
function rowsOf(name: string): string[][] {
  const rows = within(screen.getByRole("table", { name })).getAllByRole("row").slice(1);
  return rows.map((row) =>
    [...row.querySelectorAll("th, td")].map((cell) => (cell.textContent ?? "").replaceAll("\u00a0", " ")),
  );
}

test("a channel's row says its channel, width, devices and what is taken; its bar is said in words", async () => {
  const { onSelect } = schedules("channels");
  const [first, second] = rowsOf("Schedule of channels");
  expect(first).toEqual(["AP-1, 2.4 GHz", "620 MHz", "4", "", "38.0 %", "47.0 %limit 50 %", "0.0 %"]);
  expect(second?.[0]).toBe("AP-1, 5 GHzShares with AP-2");
  const bars = screen.getAllByRole("img");
  expect((bars[1]?.getAttribute("aria-label") ?? "").replaceAll("\u00a0", " ")).toBe(
    "own frames 26.2 %, collisions 3.1 %, beacons 2.0 %, neighbours 10.0 %, free 58.7 %; taken in one evening of twenty 61.0 %; limit 50 %",
  );
  await userEvent.click(screen.getByRole("button", { name: /^AP-1, 5\sGHz$/ }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "channel", id: "ap-1:5" });
});

test("what belongs to the selection is marked, and choosing it again clears it", async () => {
  const { onSelect } = schedules("channels", { selected: { kind: "channel", id: "ap-2:6" } });
  const pressed = () => screen.getAllByRole("button", { pressed: true }).map((b) => b.textContent);
  expect(pressed()).toEqual(["AP-2, 6\u00a0GHz"]);
  await userEvent.click(screen.getByRole("button", { name: /^AP-2, 6\sGHz$/ }));
  expect(onSelect).toHaveBeenCalledWith(null);
});

test("a device that was selected on the plan marks its activities and its channel", () => {
  const selected = { kind: "device", id: "laptop-1" } as const;
  schedules("activities", { selected });
  schedules("channels", { selected });
  expect(screen.getAllByRole("button", { pressed: true }).map((b) => b.textContent)).toEqual([
    "Video call",
    "AP-1, 5\u00a0GHz",
  ]);
});

test("an activity's row says needs, both evenings, the call's rating, how often it is met and what holds it back", async () => {
  const { onUnmetFirst } = schedules("activities");
  const rows = rowsOf("Schedule of activities");
  expect(rows[1]).toEqual([
    "Video calllaptop-1, call-1",
    "6.00",
    "6.00 median5.80 one evening in twenty",
    "3.80",
    "3.80 median2.90 one evening in twenty",
    "61 median412 one evening in twenty",
    "150",
    "84 median52 one evening in twenty",
    "4.2 median2.7 one evening in twenty",
    "81.0 %",
    "waiting at line-1",
  ]);
  // What is no call has no rating, and what nothing serves says so.
  expect(rows[2]?.[7]).toBe("–no call");
  expect(rows[5]?.slice(2, 6)).toEqual([
    "nothing serves it",
    "0.30",
    "nothing serves it",
    "nothing serves it",
  ]);
  expect(rows.map((row) => row[0]?.split(",")[0])).toEqual([
    "Watchingtelevision-1",
    "Video calllaptop-1",
    "Browsingphone-1",
    "Playingconsole-1",
    "Uploadphone-2",
    "Listeningspeaker-1",
    "Uploadcamera-1",
  ]);
  await userEvent.click(screen.getByRole("checkbox", { name: "Not met first" }));
  expect(onUnmetFirst).toHaveBeenCalledWith(true);
});

test("on demand those not met come first, on the sheet and in the file", async () => {
  schedules("activities", { unmetFirst: true });
  expect(rowsOf("Schedule of activities").map((row) => row[9])).toEqual([
    "22.0 %",
    "81.0 %",
    "90.0 %",
    "97.0 %",
    "99.0 %",
    "nothing serves it",
    "100.0 %",
  ]);
  await userEvent.click(screen.getByRole("button", { name: "Export Schedule of activities as CSV" }));
  expect(saved[0]?.name).toBe("made-up-home-two-access-points-activities.csv");
  expect(saved[0]?.content.split("\r\n").map((line) => line.split(",")[0])).toEqual([
    "Activity",
    "backup-1",
    "call-1",
    "game-1",
    "watch-1",
    "browse-1",
    "listen-1",
    "camera-1",
    "",
  ]);
});

test("the line shows the wait with both queues side by side, and which of them the design has", () => {
  schedules("line");
  const table = screen.getByRole("table", { name: "The line" });
  expect(
    within(table)
      .getAllByRole("columnheader")
      .map((h) => h.textContent),
  ).toEqual([
    "Way",
    "Rate",
    "In use",
    "Limit",
    "Wait, plain queueas designed",
    "Wait, fair queue",
    "Suffices",
  ]);
  expect(rowsOf("The line")[1]).toEqual([
    "From the home",
    "20 Mbit/s",
    "51.0 % median93.0 % one evening in twenty",
    "80 %",
    "62 ms median410 ms one evening in twenty",
    "2.1 ms median5.2 ms one evening in twenty",
    "40 Mbit/s",
  ]);
  expect(screen.getByText(/^The design has a plain queue/)).toBeDefined();
});

test("a device's row says what it joins, how sure that is, and what it takes; small things have their hubs", async () => {
  const { onSelect } = schedules("devices", { selected: { kind: "channel", id: "ap-2:5" } });
  const rows = rowsOf("Schedule of devices");
  expect(rows[1]).toEqual([
    "laptop-1laptop",
    "AP-1, 5 GHz",
    "13.0 % median19.5 % one evening in twenty",
    "\u221258.3 dBm",
    "AP-2",
    "2.1 dB",
    "31.0 %",
  ]);
  expect(rows[5]).toEqual([
    "doorbell-1doorbell",
    "nothing is heard",
    "unknown",
    "unknown",
    "–no other",
    "–no other",
    "–no other",
  ]);
  // Those that the selected channel serves are marked.
  expect(screen.getAllByRole("button", { pressed: true }).map((b) => b.textContent)).toEqual(["phone-2"]);
  expect(rowsOf("Small things and their hubs")).toEqual([
    ["lockslocks-net, IEEE 802.15.4", "\u221271.2 dB", "12.4 dB", "99.3 %"],
  ]);
  await userEvent.click(screen.getByRole("button", { name: "locks" }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "device", id: "locks" });
});

test("a service that no line would give is said, not left empty", () => {
  const { line } = answer.capacity;
  if (!line) throw new Error("the made-up home has a line");
  const of = {
    ...answer,
    capacity: {
      ...answer.capacity,
      line: { ...line, queue: { kind: "fair", share: 0.95 } as const, suffices: { down: null, up: 40e6 } },
    },
  };
  schedules("line", { of });
  expect(rowsOf("The line")[0]?.[6]).toBe("no line would do");
  expect(screen.getByText(/fair queue that controls delay, held at 95\s%/)).toBeDefined();
});

test("uplinks, recordings and the channel plan say what is known and what is missing", async () => {
  schedules("uplinks");
  expect(rowsOf("Schedule of uplinks")[1]?.slice(0, 2)).toEqual(["switch to AP-2radio, 6 GHz", "612 Mbit/s"]);
  schedules("recordings");
  expect(rowsOf("Schedule of recordings")).toEqual([
    ["camera-1", "2", "recorder", "86.4 GB", "30 d", "16 dtoo short", "2.9 TB", "1.5 TB"],
    [
      "doorbell-1",
      "1",
      "over the line",
      "2.1 GB",
      "7 d",
      "unknownneeds the size of its store",
      "16.2 GB",
      "unknown",
    ],
  ]);
  schedules("plan");
  expect(rowsOf("Channel plan")[2]).toEqual([
    "AP-2, 5 GHz",
    "10680 MHz",
    "26.5 dBmlimit 30.0 dBm",
    "yes",
    "ch. 4280 MHz, 23.0 dBm",
    "1 min",
    "then shared with ap-1Rule: ETSI EN 301 893 V2.1.1, 4.2.3",
  ]);
  expect(rowsOf("Channel plan")[3]?.slice(2)).toEqual([
    "20.0 dBmlimit unknown",
    "no",
    "–not needed",
    "–not needed",
    "",
  ]);
  expect(rowsOf("Channels for small things, IEEE 802.15.4")).toEqual([
    ["25", "99.7 %", "yes"],
    ["15", "98.1 %", "no"],
    ["20in use now", "94.2 %", "no"],
  ]);
  expect(screen.getByText(/^The small things use channel 20 now. Move to channel 25/)).toBeDefined();
  await userEvent.click(
    screen.getByRole("button", { name: "Export Channels for small things, IEEE 802.15.4 as CSV" }),
  );
  expect(saved[0]?.name).toBe("made-up-home-two-access-points-things.csv");
});

test("a design without radios, line, cameras or activities says so in each schedule", () => {
  const { capacity } = answer;
  const of: CapacityAnswer = {
    ...answer,
    capacity: { ...capacity, channels: [], uplinks: [], line: null, activities: [], recordings: [] },
    radio_plan: { radios: [], thing_channels: [], thing_channel_now: null, thing_channel_advice: null },
    joins: [],
    things: [],
  };
  for (const name of scheduleNames) schedules(name, { of });
  for (const said of [
    "No radio of this design is set.",
    "Nothing is done in the busy hour.",
    "The site has no line.",
    "No part reaches the line through another.",
    "No camera records.",
    "No channel is planned.",
    "No device joins by radio.",
  ]) {
    expect(screen.getByText(said)).toBeDefined();
  }
  expect(screen.queryByRole("table")).toBeNull();
});

test("every file has a row for each of the schedule's, with units in its heads", () => {
  const lines = (name: FileOf) => exportOf(name, answer, false).trim().split("\r\n");
  expect(lines("channels")).toHaveLength(5);
  expect(lines("channels")[2]).toBe("ap-1,5,5210,80,7,26.2,41,3.1,7,2,10,41,61,50,12,ap-2");
  expect(lines("line")[2]).toBe("From the home,20,51,93,80,62,410,2.1,5.2,40");
  expect(lines("uplinks")[2]).toBe('switch,ap-2,"radio, 6 GHz",612,9,17,508,2,5,50');
  expect(lines("recordings")[2]).toBe("doorbell-1,1,over the line,2.1,7,,16.2,");
  expect(lines("plan")[3]).toBe(
    '"ap-2,5,106,5530,80,26.5,30,"ETSI EN 301 893 V2.1.1, 4.2.3",yes,42,80,23,60,then shared with `ap-1`'.slice(
      1,
    ),
  );
  expect(lines("things")[1]).toBe("25,99.7,yes");
  expect(lines("devices")[2]).toBe("laptop-1,laptop,ap-1,5,-58.3,ap-2,2.1,31,13,19.5");
  expect(lines("devices")[6]).toBe("doorbell-1,doorbell,,,,,,,,");
  expect(lines("hubs")[1]).toBe("locks,locks-net,IEEE 802.15.4,-71.2,12.4,99.3");
  expect(lines("activities")[0]).toContain("Gets down, one evening in twenty [Mbit/s]");
});

const headroom: Figure = {
  id: "headroom",
  subject: "d1",
  value: 0.86,
  unit: "1",
  low: 0.5,
  high: 1.6,
  confidence: null,
  estimate: false,
  sources: [],
};

function panel(selected: Selected | null, of: CapacityAnswer = answer) {
  const onClear = vi.fn();
  render(
    <CapacityPanel
      answer={of}
      headroom={headroom}
      staleNote={null}
      selected={selected}
      servedText={() => "AP-1, 5 GHz"}
      reader={reader}
      onClear={onClear}
    />,
  );
  return onClear;
}

test("the headline names the bottleneck with its number, the hour, the headroom and how many are met", () => {
  panel(null);
  const region = screen.getByRole("region", { name: /^Busy hour/ });
  const said = (region.textContent ?? "").replaceAll("\u00a0", " ");
  expect(said).toContain("Busy hour 19:00 to 20:00");
  expect(said).toContain(
    "The line from the home is too full: 93.0 % is taken in one evening of twenty; the limit is 80 %.",
  );
  expect(said).toContain("Headroom0.86 ×0.50 to 1.60 ×");
  expect(said).toContain("Get what they need in 19 evenings of 203 of 71 not known");
  expect(said).toContain("1,000 evenings sampled");
  expect(said).toContain("RFC 8290, from memory");
});

test("a channel within its limit is full first; with no bottleneck that is said", () => {
  const { capacity } = answer;
  const bottleneck = { carrier: "channel", subject: "ap-1", band: "5", load: 0.461, limit: 0.5 } as const;
  panel(null, { ...answer, capacity: { ...capacity, bottleneck } });
  panel(null, { ...answer, capacity: { ...capacity, bottleneck: null, hour: null } });
  expect(screen.getByText(/^The 5\sGHz channel of AP-1 is full first: 46.1\s% is taken/)).toBeDefined();
  expect(screen.getByText(/^Nothing that is done in the busy hour takes/)).toBeDefined();
});

test("the margin tells of what is selected, and clears it", async () => {
  const onClear = panel({ kind: "activity", id: "call-1" });
  const region = screen.getByRole("region", { name: "Video call" });
  expect((region.textContent ?? "").replaceAll("\u00a0", " ")).toContain(
    "Devicelaptop-1Served byAP-1, 5 GHzAirtime, median and 1 in 2013.0 %, 19.5 %Video call, call-1met in 81.0 % of evenings",
  );
  await userEvent.click(within(region).getByRole("button", { name: "Clear selection" }));
  expect(onClear).toHaveBeenCalledOnce();
  cleanup();
  panel({ kind: "channel", id: "ap-2:5" });
  expect(screen.getByRole("region", { name: /^AP-2, 5\sGHz/ }).textContent).toContain("106, 80\u00a0MHz");
  cleanup();
  panel({ kind: "activity", id: "gone" });
  expect(screen.getAllByRole("region")).toHaveLength(1);
});
