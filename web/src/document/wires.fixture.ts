/** Made-up cables and supplies of the made-up home, for tests; nothing of it is shipped. */

import type {
  BatteryRow,
  CableRow,
  CablingAnswer,
  Design,
  Figure,
  P3,
  PortRow,
  Stretch,
  Way,
} from "../engine/types.ts";

const source = { kind: "standard", cite: "ANSI/TIA-568.2-D, from memory" } as const;

function figure(
  id: string,
  subject: string,
  value: number | null,
  unit: string,
  between: [number, number] | null = null,
  missing: string[] = [],
): Figure {
  const [low, high] = between ?? [null, null];
  return {
    id,
    subject,
    value,
    unit,
    low,
    high,
    confidence: null,
    estimate: false,
    sources: [source],
    missing,
  };
}

const at: P3 = [9.7, 6.4, 1.2];
const inWall: P3 = [9.7, 6.46, 1.2];
const inFloor: P3 = [9.7, 6.46, 2.55];

/** A way through places, each with what leads to it. */
function through(start: P3, ...steps: [Way, string | null, P3][]): Stretch[] {
  let from = start;
  return steps.map(([way, element, to]) => {
    const stretch = { way, element, from, to };
    from = to;
    return stretch;
  });
}

const up: [Way, string | null, P3][] = [
  ["open", null, inWall],
  ["stud-bay", "g-east", inFloor],
];

const cable = { over: "cable", part: "cable-cat6a" } as const;

export const design: Design = {
  id: "d1",
  name: "Made-up design",
  family: "home-run-panel",
  parts: [
    ["panel", "panel-structured", "utility", at, "wall"],
    ["termination", "ont-1g", "utility", at, "panel"],
    ["router", "router-wired", "utility", at, "panel"],
    ["switch", "switch-8-poe", "utility", at, "panel"],
    ["battery", "battery-600", "utility", at, "panel"],
    ["ap-1", "ap-ax-2x2-ceiling", "living", [4.6, 3.4, 2.38], "ceiling"],
    ["ap-2", "ap-ax-wall-plate", "bed-2", [9.9, 2.4, 3.2], "wall"],
    ["outlet-1", "outlet-kit-cat6", "study", [0.28, 7.4, 0.4], "wall"],
  ].map(([id, part, room, place, mounting]) => ({
    id: id as string,
    part: part as string,
    room: room as string,
    at: place as P3,
    mounting: mounting as "wall",
    kept: false,
  })),
  links: [
    { id: "l1", from: "router", to: "switch", medium: { over: "cord" } },
    { id: "l2", from: "switch", to: "ap-1", medium: cable },
    { id: "l3", from: "switch", to: "ap-2", medium: cable },
    { id: "l4", from: "switch", to: "outlet-1", medium: cable },
    { id: "l5", from: "switch", to: "television-1", medium: cable },
    { id: "l6", from: "switch", to: "camera-1", medium: cable },
  ],
  radios: [],
  segments: [],
  feeds: [
    { part: "battery", source: { from: "mains", outlet: "m5" } },
    { part: "switch", source: { from: "battery", part: "battery" } },
    { part: "router", source: { from: "battery", part: "battery" } },
    { part: "termination", source: { from: "mains" } },
    { part: "ap-1", source: { from: "poe", part: "switch" } },
    { part: "ap-2", source: { from: "poe", part: "switch" } },
  ],
};

const routes: [string, string, number, [number, number], Stretch[], string[], boolean][] = [
  [
    "l2",
    "A-01",
    14.6,
    [13.9, 16.1],
    through(
      at,
      ...up,
      ["joist-bay", "g-ceiling", [9.7, 3.4, 2.55]],
      ["across-joists", "g-ceiling", [4.6, 3.4, 2.55]],
      ["through", "g-ceiling", [4.6, 3.4, 2.38]],
    ),
    ["hole-1", "hole-2"],
    false,
  ],
  [
    "l3",
    "A-02",
    9.8,
    [9.2, 11],
    through(
      at,
      ...up,
      ["joist-bay", "g-ceiling", [9.7, 2.4, 2.55]],
      ["across-joists", "g-ceiling", [9.9, 2.4, 2.55]],
      ["stud-bay", "u-east", [9.9, 2.4, 3.2]],
    ),
    ["hole-1", "hole-3"],
    false,
  ],
  [
    "l4",
    "A-03",
    16.9,
    [16, 18.6],
    through(
      at,
      ...up,
      ["joist-bay", "g-ceiling", [9.7, 7.4, 2.55]],
      ["across-joists", "g-ceiling", [0.28, 7.4, 2.55]],
      ["stud-bay", "g-west", [0.28, 7.4, 0.4]],
    ),
    ["hole-1"],
    false,
  ],
  [
    "l5",
    "A-04",
    17.5,
    [16.8, 18.9],
    through(
      at,
      ["open", null, [9.7, 6.46, 0.1]],
      ["raceway", "g-east", [9.7, 4.3, 0.1]],
      ["through", "g-mid", [9.7, 4.1, 0.1]],
      ["raceway", "g-east", [9.7, 2.2, 0.1]],
      ["raceway", "g-south", [0.6, 2.2, 0.1]],
    ),
    ["hole-4"],
    true,
  ],
];

function row(link: string, label: string, metres: number | null): CableRow {
  const know = (id: string, value: number, unit: string, spread: number): Figure =>
    metres === null
      ? figure(id, link, null, unit, null, [`a way for \`${link}\``])
      : figure(id, link, value, unit, [value - spread, value + spread]);
  const far = metres ?? 0;
  return {
    link,
    label,
    cable: "cable-cat6a",
    category: "category 6A",
    fixed_length: know("cable.length", far, "m", 1),
    channel_length: know("channel.length", far + 4, "m", 1),
    most_cord: know("cord.most", 17.4, "m", 0.6),
    loss_margin: know("loss.margin", 31.2 - far / 2, "dB", 1.1),
    loop_resistance: know("loop.resistance", 0.19 * far, "Ω", 0.2),
    delay: know("delay", 5.4 * far, "ns", 4),
    skew: know("delay.skew", 0.5 * far, "ns", 0.3),
    fastest: metres === null ? null : "10GBASE-T",
    fastest_if_quiet: metres === null ? null : "10GBASE-T",
    bend_radius_mm: 30.4,
    most_pull_n: 110,
    ways: [],
  };
}

const hole = (
  id: string,
  kind: CablingAnswer["wiring"]["holes"][number]["kind"],
  element: string,
  place: P3,
  depth: number,
  diameter: number,
  links: string[],
  fire_seal = false,
) => ({ id, kind, element, at: place, depth, diameter, links, fire_seal });

const port = (
  name: string,
  link: string | null,
  to: string | null,
  more: Partial<PortRow> = {},
): PortRow => ({
  port: name,
  exists: true,
  link,
  to,
  rate: link === null ? null : 1e9,
  gives_class: null,
  feeds_class: null,
  ...more,
});

export const answer: CablingAnswer = {
  revision: 7,
  design,
  wiring: {
    routes: routes.map(([link, label, metres, [low, high], stretches, holes, existing]) => ({
      link,
      label,
      cable: "cable-cat6a",
      stretches,
      holes,
      way_length: metres - 3,
      length: figure("cable.length", link, metres, "m", [low, high]),
      existing,
    })),
    holes: [
      hole("hole-1", "plate", "g-east", [9.7, 6.46, 2.44], 0.09, 0.022, ["l2", "l3", "l4"]),
      hole("hole-2", "floor", "g-ceiling", [4.6, 3.4, 2.46], 0.013, 0.01, ["l2"]),
      hole("hole-3", "floor", "g-ceiling", [9.9, 2.4, 2.7], 0.28, 0.012, ["l3"], true),
      hole("hole-4", "wall", "g-mid", [9.7, 4.2, 0.1], 0.12, 0.012, ["l5"]),
    ],
    made: [
      {
        stretch: { way: "raceway", element: "g-east", from: [9.7, 6.46, 0.1], to: [9.7, 2.2, 0.1] },
        links: ["l5"],
      },
      {
        stretch: { way: "raceway", element: "g-south", from: [9.7, 2.2, 0.1], to: [0.6, 2.2, 0.1] },
        links: ["l5"],
      },
    ],
    gap: {
      figure: "minutes of work for all ways and holes",
      found: 812.4,
      bound: 809.1,
      method: "dual ascent on the graph of ways",
    },
    graph_places: 1204,
    graph_ways: 3417,
  },
  wires: {
    cables: [
      { ...row("l1", "", 1), cable: null, category: "category 6", ways: [] },
      ...routes.map(([link, label, metres]) => row(link, label, metres)),
      row("l6", "A-05", null),
    ],
    ports: [
      {
        part: "router",
        ports: [
          port("uplink 1", "l0", "termination"),
          port("port 1", "l1", "switch"),
          port("port 2", null, null),
        ],
        spare: 1,
        oversubscription: null,
      },
      {
        part: "switch",
        ports: [
          port("uplink 1", "l1", "router"),
          port("port 1", "l2", "ap-1", { rate: 2.5e9, gives_class: 4, feeds_class: 4 }),
          port("port 2", "l3", "ap-2", { gives_class: 4, feeds_class: 3 }),
          port("port 3", "l4", "outlet-1", { gives_class: 4 }),
          port("port 4", null, null, { gives_class: 4 }),
          port("port 5", "l5", "television-1"),
          port("port 6", "l6", "camera-1", { rate: null, exists: false }),
        ],
        spare: 1,
        oversubscription: 4.5,
      },
    ],
    supplies: [
      {
        supply: "switch",
        budget: 60,
        worst_draw: figure("poe.worst-draw", "switch", 34.6, "W", [33.2, 36.1]),
        margin: figure("poe.margin", "switch", 25.4, "W", [23.9, 26.8]),
        own_loss: figure("poe.own-loss", "switch", 12.1, "W", [11, 13]),
        fed: [
          {
            part: "ap-1",
            class: 4,
            pairs: "two",
            draw: 21.5,
            at_port: figure("poe.at-port", "ap-1", 22.4, "W", [21.9, 23.1]),
            voltage: figure("poe.voltage", "ap-1", 48.1, "V", [46.9, 56.2]),
            least_voltage: 42.5,
            current: figure("poe.current", "ap-1", 0.447, "A", [0.39, 0.46]),
          },
          {
            part: "ap-2",
            class: 3,
            pairs: "two",
            draw: 11.9,
            at_port: figure("poe.at-port", "ap-2", 12.2, "W", [12, 12.5]),
            voltage: figure("poe.voltage", "ap-2", null, "V", null, ["the length of `l3`"]),
            least_voltage: 37,
            current: figure("poe.current", "ap-2", null, "A", null, ["the length of `l3`"]),
          },
        ],
        start: {
          steps: [
            { after: 0, parts: ["ap-1"], peak: 25.7 },
            { after: 0.2, parts: ["ap-2"], peak: 48.1 },
          ],
          together: 51.3,
          fits: true,
        },
      },
    ],
    bundles: [
      {
        links: ["l2", "l3", "l4"],
        powered: 2,
        way: "stud-bay",
        length: 1.35,
        ambient: 25,
        rise: figure("bundle.rise", "l2", 1.8, "K", [1.2, 4.1]),
        section_mm2: 136.1,
        least_pipe_mm: 20.8,
      },
      {
        links: ["l2", "l3"],
        powered: 2,
        way: "joist-bay",
        length: 3.06,
        ambient: 30,
        rise: figure("bundle.rise", "l2", 1.1, "K", [0.8, 2.7]),
        section_mm2: 90.7,
        least_pipe_mm: 19.3,
      },
      {
        links: ["l5"],
        powered: 0,
        way: "raceway",
        length: 13.4,
        ambient: 22,
        rise: figure("bundle.rise", "l5", 0, "K", [0, 0]),
        section_mm2: 45.4,
        least_pipe_mm: 10.4,
      },
    ],
    panels: [
      {
        room: "utility",
        panel: "panel",
        rows: [
          { unit: 1, height: 1, part: "switch", heat_w: 12.1 },
          { unit: 2, height: 2, part: "router", heat_w: 9.4 },
          { unit: 4, height: 2, part: "battery", heat_w: 6 },
          { unit: 6, height: 0, part: "termination", heat_w: 4.5 },
        ],
        units_used: 5,
        units: 8,
        ports: 8,
        ports_used: 6,
        heat: figure("panel.heat", "panel", 32, "W", [29.5, 34.1]),
        heat_btu_h: figure("panel.heat", "panel", 109.2, "BTU/h", [100.7, 116.4]),
        rise: figure("panel.rise", "panel", 6.4, "K", [5.1, 7.8]),
        plugs: 3,
        duplex_outlets: 2,
      },
    ],
    notes: ["Crosstalk and return loss are not predicted."],
  },
};

export const batteries: BatteryRow[] = [
  {
    id: "battery",
    items: [
      { id: "router", load: 9.4, lost: 0, over: null },
      { id: "switch", load: 12.1, lost: 0, over: null },
      { id: "ap-1", load: 14.9, lost: 1.9, over: "switch" },
    ],
    load: 36.4,
    drawn: 45.5,
    runtime: 8400,
    runtime_low: 6100,
    runtime_high: 9300,
    stages: [
      { from: 0, to: 3600, load: 36.4 },
      { from: 3600, to: 9900, load: 21.5 },
    ],
    curve: [],
    recharge: 6 * 3600,
    standby_kwh: 43.8,
    problem: null,
  },
];
