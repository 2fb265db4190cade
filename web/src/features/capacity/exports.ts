/** Each schedule as comma-separated values, in fixed units that the heads name. */

import type { ScheduleName } from "../../document/address.ts";
import { unmetFirst } from "../../document/capacity.ts";
import { type CsvColumn, csvOf } from "../../document/csv.ts";
import type {
  ActivityHour,
  CapacityAnswer,
  ChannelHour,
  Join,
  LineHour,
  PlannedRadio,
  RecordingHour,
  Spread,
  ThingChannel,
  ThingLink,
  UplinkHour,
} from "../../engine/types.ts";
import { text } from "../../text.ts";
import { carrierName } from "./words.ts";

const t = text.capacity;

/** The line, one row for each way. */
export interface LineWay {
  way: "down" | "up";
  rate: number;
  taken: Spread;
  limit: number;
  plain: Spread;
  fair: Spread;
  suffices: number | null;
}

export function lineWays(line: LineHour): LineWay[] {
  const { limit } = line;
  return [
    {
      way: "down",
      rate: line.rate_down,
      taken: line.down,
      limit,
      plain: line.wait_plain_down,
      fair: line.wait_fair_down,
      suffices: line.suffices.down,
    },
    {
      way: "up",
      rate: line.rate_up,
      taken: line.up,
      limit,
      plain: line.wait_plain,
      fair: line.wait_fair,
      suffices: line.suffices.up,
    },
  ];
}

/** So many figures that no rounding shows, and none of the noise of binary fractions. */
const tidy = (value: number): number => Number(value.toPrecision(9));

function column<Row>(
  head: string,
  unit: string,
  value: (row: Row) => string | number | null | undefined,
  scale = 1,
): CsvColumn<Row> {
  return {
    head: unit === "" ? head : `${head} [${unit}]`,
    value: (row) => {
      const found = value(row) ?? null;
      return typeof found === "number" ? tidy(found * scale) : found;
    },
  };
}

/** A column for the median evening and one for the poor one. */
function both<Row>(
  head: string,
  unit: string,
  spread: (row: Row) => Spread | null,
  scale = 1,
): CsvColumn<Row>[] {
  return [
    column<Row>(`${head}, ${t.median}`, unit, (row) => spread(row)?.median, scale),
    column<Row>(`${head}, ${t.poor}`, unit, (row) => spread(row)?.poor, scale),
  ];
}

const percent = 100;
const mega = 1e-6;

const channelColumns: CsvColumn<ChannelHour>[] = [
  column(t.channels.radio, "", (c) => c.part),
  column(text.coverage.band, "GHz", (c) => c.band),
  column(t.channels.centre, "MHz", (c) => c.centre, mega),
  column(t.channels.width, "MHz", (c) => c.width, mega),
  column(t.channels.devices, "", (c) => c.devices),
  ...both<ChannelHour>(t.channels.own, "%", (c) => c.own, percent),
  ...both<ChannelHour>(t.channels.collided, "%", (c) => c.collided, percent),
  column(t.channels.beacons, "%", (c) => c.beacons, percent),
  column(t.channels.neighbours, "%", (c) => c.neighbours, percent),
  ...both<ChannelHour>(t.line.taken, "%", (c) => c.busy, percent),
  column(t.channels.limit, "%", (c) => c.limit, percent),
  column(t.channels.overloaded, "%", (c) => c.overloaded, percent),
  column(t.channels.shared, "", (c) => c.shared_with.join(" ")),
];

const activityColumns: CsvColumn<ActivityHour>[] = [
  column(t.activities.activity, "", (a) => a.id),
  column("Kind", "", (a) => text.activityKinds[a.kind] ?? a.kind),
  column("Cause", "", (a) => t.activities.cause[a.cause]),
  column(t.activities.device, "", (a) => a.device),
  column(t.activities.runs, "%", (a) => a.runs, percent),
  column(t.activities.needsDown, "Mbit/s", (a) => a.needs_down, mega),
  ...both<ActivityHour>(t.activities.getsDown, "Mbit/s", (a) => a.down, mega),
  column(t.activities.needsUp, "Mbit/s", (a) => a.needs_up, mega),
  ...both<ActivityHour>(t.activities.getsUp, "Mbit/s", (a) => a.up, mega),
  ...both<ActivityHour>(t.activities.delay, "ms", (a) => a.delay, 1000),
  column(t.activities.bears, "ms", (a) => a.max_delay, 1000),
  ...both<ActivityHour>(t.activities.loss, "%", (a) => a.loss, percent),
  ...both<ActivityHour>(t.activities.rating, "", (a) => a.rating),
  ...both<ActivityHour>(t.activities.opinion, "", (a) => a.opinion),
  column(t.activities.met, "%", (a) => a.met, percent),
  column(t.activities.heldBackBy, "", (a) => a.held_back_by && carrierName(a.held_back_by, "carrierShort")),
];

const lineColumns: CsvColumn<LineWay>[] = [
  column(t.line.way, "", (way) => t.line[way.way]),
  column(t.line.rate, "Mbit/s", (way) => way.rate, mega),
  ...both<LineWay>(t.line.taken, "%", (way) => way.taken, percent),
  column(t.line.limit, "%", (way) => way.limit, percent),
  ...both<LineWay>(t.line.waitPlain, "ms", (way) => way.plain, 1000),
  ...both<LineWay>(t.line.waitFair, "ms", (way) => way.fair, 1000),
  column(t.line.suffices, "Mbit/s", (way) => way.suffices, mega),
];

const uplinkColumns: CsvColumn<UplinkHour>[] = [
  column("From", "", (way) => way.parent),
  column("To", "", (way) => way.part),
  column(t.uplinks.over, "", (way) =>
    way.band === null ? t.uplinks.cable : t.uplinks.radio(`${way.band} GHz`),
  ),
  column(t.uplinks.rateDown, "Mbit/s", (way) => way.rate_down, mega),
  ...both<UplinkHour>(t.uplinks.down, "%", (way) => way.down, percent),
  column(t.uplinks.rateUp, "Mbit/s", (way) => way.rate_up, mega),
  ...both<UplinkHour>(t.uplinks.up, "%", (way) => way.up, percent),
  column(t.uplinks.limit, "%", (way) => way.limit, percent),
];

const days = 1 / 86_400;
const giga = 1e-9;

const recordingColumns: CsvColumn<RecordingHour>[] = [
  column(t.recordings.camera, "", (r) => r.device),
  column(t.recordings.cameras, "", (r) => r.cameras),
  column(t.recordings.store, "", (r) => r.store ?? t.recordings.overLine),
  column(t.recordings.aDay, "GB", (r) => r.octets_a_day, giga),
  column(t.recordings.wanted, "d", (r) => r.wanted, days),
  column(t.recordings.keeps, "d", (r) => r.keeps, days),
  column(t.recordings.needs, "GB", (r) => r.needed_octets, giga),
  column(t.recordings.has, "GB", (r) => r.has_octets, giga),
];

const deviceColumns: CsvColumn<Join>[] = [
  column(t.devices.device, "", (j) => j.device),
  column("Kind", "", (j) => text.deviceKinds[j.device_kind] ?? j.device_kind),
  column(t.devices.joins, "", (j) => j.part),
  column(text.coverage.band, "GHz", (j) => j.band),
  column(t.devices.level, "dBm", (j) => j.level),
  column(t.devices.next, "", (j) => j.next),
  column(t.devices.margin, "dB", (j) => j.margin),
  column(t.devices.stays, "%", (j) => j.stays, percent),
  ...both<Join>(t.devices.airtime, "%", (j) => j.airtime, percent),
];

const hubColumns: CsvColumn<ThingLink>[] = [
  column(t.devices.device, "", (l) => l.device),
  column(t.devices.network, "", (l) => l.network),
  column(t.devices.talks, "", (l) => t.devices.radio[l.radio] ?? l.radio),
  column(t.devices.gain, "dB", (l) => l.gain),
  column(t.devices.inHand, "dB", (l) => l.margin),
  column(t.devices.reliability, "%", (l) => l.reliability, percent),
];

const planColumns: CsvColumn<PlannedRadio>[] = [
  column(t.plan.radio, "", (c) => c.part),
  column(text.coverage.band, "GHz", (c) => c.band),
  column(t.plan.channel, "", (c) => c.channel),
  column(t.channels.centre, "MHz", (c) => c.centre, mega),
  column(t.plan.width, "MHz", (c) => c.width, mega),
  column(t.plan.power, "dBm", (c) => c.eirp),
  column(t.plan.powerLimit, "dBm", (c) => c.eirp_limit),
  column(t.plan.rule, "", (c) => c.rule?.cite),
  column(t.plan.radar, "", (c) => (c.radar ? t.yes : t.no)),
  column(`${t.plan.fallback}, ${t.plan.channel}`, "", (c) => c.fallback?.channel),
  column(`${t.plan.fallback}, ${t.plan.width}`, "MHz", (c) => c.fallback?.width, mega),
  column(`${t.plan.fallback}, ${t.plan.power}`, "dBm", (c) => c.fallback?.eirp),
  column(t.plan.silence, "s", (c) => c.fallback?.silence),
  column(t.plan.why, "", (c) => c.fallback?.why),
];

const thingColumns: CsvColumn<ThingChannel>[] = [
  column(t.plan.thing, "", (c) => c.channel),
  column(t.plan.success, "%", (c) => c.success, percent),
  column(t.plan.clear, "", (c) => (c.clear ? t.yes : t.no)),
];

/** A schedule's file; rows in the order in which they are shown. */
export type FileOf = ScheduleName | "things" | "hubs";

export function exportOf(name: FileOf, answer: CapacityAnswer, isUnmetFirst: boolean): string {
  const { capacity, radio_plan: plan } = answer;
  switch (name) {
    case "channels":
      return csvOf(channelColumns, capacity.channels);
    case "activities":
      return csvOf(activityColumns, isUnmetFirst ? unmetFirst(capacity.activities) : capacity.activities);
    case "line":
      return csvOf(lineColumns, capacity.line ? lineWays(capacity.line) : []);
    case "uplinks":
      return csvOf(uplinkColumns, capacity.uplinks);
    case "recordings":
      return csvOf(recordingColumns, capacity.recordings);
    case "plan":
      return csvOf(planColumns, plan.radios);
    case "devices":
      return csvOf(deviceColumns, answer.joins);
    case "hubs":
      return csvOf(hubColumns, answer.things);
    case "things":
      return csvOf(thingColumns, plan.thing_channels);
  }
}
