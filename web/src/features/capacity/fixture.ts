/** A made-up busy hour of the made-up home, for tests; nothing of it is shipped. */

import type {
  ActivityHour,
  CapacityAnswer,
  ChannelHour,
  JobDocument,
  Join,
  PlannedRadio,
} from "../../engine/types.ts";

const even = (median: number, poor = median) => ({ median, poor });

function channel(part: string, band: ChannelHour["band"], centre: number, width: number): ChannelHour {
  return {
    part,
    band,
    centre: centre * 1e6,
    width: width * 1e6,
    shared_with: [],
    devices: 1,
    own: even(0.08, 0.14),
    collided: even(0.004, 0.01),
    beacons: 0.02,
    neighbours: 0.1,
    busy: even(0.2, 0.27),
    limit: 0.5,
    overloaded: 0,
  };
}

function activity(id: string, kind: ActivityHour["kind"], device: string): ActivityHour {
  return {
    id,
    cause: "activity",
    kind,
    device,
    device_kind: "other",
    runs: 0.3,
    needs_down: 6e6,
    needs_up: 0.3e6,
    down: even(6e6, 5.8e6),
    up: even(0.3e6),
    delay: even(0.014, 0.032),
    max_delay: null,
    loss: even(0.0002, 0.004),
    rating: null,
    opinion: null,
    met: 0.99,
    held_back_by: null,
  };
}

function radio(
  part: string,
  band: PlannedRadio["band"],
  channel: number,
  centre: number,
  width: number,
): PlannedRadio {
  return {
    part,
    band,
    channel,
    centre: centre * 1e6,
    width: width * 1e6,
    eirp: 20,
    eirp_limit: 23,
    rule: { kind: "regulation", cite: "ETSI EN 301 893 V2.1.1, 4.2.3" },
    radar: false,
    fallback: null,
  };
}

function join(device: string, part: string, band: PlannedRadio["band"], airtime: number): Join {
  return {
    device,
    device_kind: "phone",
    part,
    band,
    level: -58.3,
    next: null,
    margin: null,
    stays: null,
    airtime: even(airtime, 1.5 * airtime),
  };
}

const upload = { carrier: "line-up", subject: "line-1", band: null, load: 0.93, limit: 0.8 } as const;

export const answer: CapacityAnswer = {
  revision: 7,
  design: {
    id: "d1",
    name: "Made-up design",
    family: "wired-backhaul",
    parts: [],
    links: [],
    radios: [],
    segments: [],
    feeds: [],
  },
  capacity: {
    hour: 19,
    evenings: 1000,
    channels: [
      { ...channel("ap-1", "2.4", 2437, 20), devices: 4, neighbours: 0.24, busy: even(0.38, 0.47) },
      {
        ...channel("ap-1", "5", 5210, 80),
        devices: 7,
        shared_with: ["ap-2"],
        own: even(0.262, 0.41),
        collided: even(0.031, 0.07),
        busy: even(0.41, 0.61),
        overloaded: 0.12,
      },
      {
        ...channel("ap-2", "5", 5210, 80),
        devices: 3,
        shared_with: ["ap-1"],
        own: even(0.11, 0.18),
        busy: even(0.36, 0.58),
      },
      { ...channel("ap-2", "6", 6185, 160), neighbours: 0, busy: even(0.06, 0.09) },
    ],
    devices: [],
    uplinks: [
      {
        part: "ap-1",
        parent: "switch",
        band: null,
        rate_down: 941e6,
        rate_up: 941e6,
        down: even(0.06, 0.11),
        up: even(0.01, 0.04),
        limit: 0.8,
      },
      {
        part: "ap-2",
        parent: "switch",
        band: "6",
        rate_down: 612e6,
        rate_up: 508e6,
        down: even(0.09, 0.17),
        up: even(0.02, 0.05),
        limit: 0.5,
      },
    ],
    line: {
      line: "line-1",
      rate_down: 80e6,
      rate_up: 20e6,
      queue: { kind: "plain" },
      down: even(0.48, 0.72),
      up: even(0.51, 0.93),
      limit: 0.8,
      wait_plain: even(0.062, 0.41),
      wait_fair: even(0.0021, 0.0052),
      wait_plain_down: even(0.011, 0.094),
      wait_fair_down: even(0.0012, 0.0036),
      suffices: { down: 80e6, up: 40e6 },
    },
    activities: [
      {
        ...activity("watch-1", "video", "television-1"),
        device_kind: "television",
        needs_down: 25e6,
        down: even(25e6, 24.1e6),
        met: 0.97,
      },
      {
        ...activity("call-1", "video-call", "laptop-1"),
        device_kind: "laptop",
        needs_up: 3.8e6,
        up: even(3.8e6, 2.9e6),
        delay: even(0.061, 0.412),
        max_delay: 0.15,
        rating: even(84, 52),
        opinion: even(4.2, 2.7),
        met: 0.81,
        held_back_by: { ...upload, carrier: "delay" },
      },
      {
        ...activity("browse-1", "browsing", "phone-1"),
        device_kind: "phone",
      },
      {
        ...activity("game-1", "game", "console-1"),
        device_kind: "console",
        max_delay: 0.05,
        met: 0.9,
        held_back_by: upload,
      },
      {
        ...activity("backup-1", "upload", "phone-2"),
        device_kind: "phone",
        needs_up: 25e6,
        up: even(11e6, 4.2e6),
        met: 0.22,
        held_back_by: upload,
      },
      {
        ...activity("listen-1", "audio", "speaker-1"),
        device_kind: "speaker",
        down: null,
        up: null,
        delay: null,
        loss: null,
        met: null,
      },
      {
        ...activity("camera-1", "upload", "camera-1"),
        cause: "recording",
        device_kind: "camera",
        needs_up: 4e6,
        up: even(4e6),
        met: 1,
      },
    ],
    recordings: [
      {
        device: "camera-1",
        cameras: 2,
        store: "recorder",
        octets_a_day: 86.4e9,
        wanted: 30 * 86_400,
        needed_octets: 2.85e12,
        has_octets: 1.5e12,
        keeps: 15.8 * 86_400,
      },
      {
        device: "doorbell-1",
        cameras: 1,
        store: null,
        octets_a_day: 2.1e9,
        wanted: 7 * 86_400,
        needed_octets: 16.2e9,
        has_octets: null,
        keeps: null,
      },
    ],
    bottleneck: upload,
    sources: [
      { kind: "standard", cite: "ITU-T G.107 (06/2015)" },
      { kind: "publication", cite: "RFC 8290", from_memory: true },
    ],
  },
  radio_plan: {
    radios: [
      radio("ap-1", "2.4", 6, 2437, 20),
      radio("ap-1", "5", 42, 5210, 80),
      {
        ...radio("ap-2", "5", 106, 5530, 80),
        eirp: 26.5,
        eirp_limit: 30,
        radar: true,
        fallback: { channel: 42, width: 80e6, eirp: 23, silence: 60, why: "then shared with `ap-1`" },
      },
      { ...radio("ap-2", "6", 47, 6185, 160), eirp_limit: null, rule: null },
    ],
    thing_channels: [
      { channel: 25, success: 0.997, clear: true },
      { channel: 15, success: 0.981, clear: false },
      { channel: 20, success: 0.942, clear: false },
    ],
    thing_channel_now: 20,
    thing_channel_advice: "Move to channel 25; 12 devices are then paired again.",
  },
  joins: [
    { ...join("phone-1", "ap-1", "5", 0.012), next: "ap-2", margin: 9.4, stays: 0.04 },
    {
      ...join("laptop-1", "ap-1", "5", 0.13),
      device_kind: "laptop",
      next: "ap-2",
      margin: 2.1,
      stays: 0.31,
    },
    { ...join("console-1", "ap-1", "5", 0.005), device_kind: "console" },
    { ...join("speaker-1", "ap-1", "2.4", 0.002), device_kind: "speaker" },
    { ...join("camera-1", "ap-1", "2.4", 0.041), device_kind: "camera" },
    {
      ...join("doorbell-1", "ap-1", "2.4", 0),
      device_kind: "doorbell",
      part: null,
      band: null,
      level: null,
      airtime: null,
    },
    join("phone-2", "ap-2", "5", 0.08),
    { ...join("tablet-1", "ap-2", "6", 0.007), device_kind: "tablet" },
    join("phone-3", "ap-1", "5", 0.02),
  ],
  things: [
    {
      network: "locks-net",
      radio: "ieee802154",
      device: "locks",
      gain: -71.2,
      margin: 12.4,
      reliability: 0.993,
    },
  ],
};

type Device = NonNullable<JobDocument["household"]>["devices"][number];

function device(id: string, kind: Device["kind"], room: string, more: Partial<Device> = {}): Device {
  return {
    id,
    kind,
    count: 1,
    room,
    attachment: "wireless",
    must_stay_up: false,
    has_battery: false,
    ...more,
  };
}

export const devices: Device[] = [
  device("phone-1", "phone", "living"),
  device("laptop-1", "laptop", "study"),
  device("television-1", "television", "living", { attachment: "wired", at: [0.6, 2.2] }),
  device("console-1", "console", "living", { at: [0.6, 1.4] }),
  device("speaker-1", "speaker", "kitchen"),
  device("camera-1", "camera", "hall", { count: 2, at: [4.9, 8.2] }),
  device("doorbell-1", "doorbell", "hall"),
  device("recorder", "storage", "utility", { attachment: "wired" }),
  device("locks", "thing", "hall", { count: 4 }),
  device("phone-2", "phone", "bed-1"),
  device("tablet-1", "tablet", "bed-2"),
  device("phone-3", "phone", "bed-3"),
];
