// A made-up home and a made-up map for tests and for looking at the drawing; nothing of it is shipped. Two storeys, a
// dozen rooms, a party wall on the west side. The map is a log-distance field with a step at every wall on the way, so
// that it jumps at walls as a real one does.

import { crossingsOf } from "../geometry/crossing.ts";
import { inArea } from "../geometry/polygon.ts";
import type {
  CoverageMap,
  Design,
  House,
  Keynote,
  Opening,
  P,
  Probe,
  Room,
  Storey,
  Wall,
} from "./contract.ts";

interface WallLine {
  id: string;
  kind: Wall["kind"];
  from: P;
  to: P;
  thickness: number;
}

/** A wall as solids: its length without the openings, with corners filled. */
function wallOf(line: WallLine, openings: readonly Opening[]): Wall {
  const length = Math.hypot(line.to[0] - line.from[0], line.to[1] - line.from[1]);
  const u: P = [(line.to[0] - line.from[0]) / length, (line.to[1] - line.from[1]) / length];
  const v: P = [-u[1], u[0]];
  const at = (a: number, b: number): P => [
    line.from[0] + u[0] * a + v[0] * b,
    line.from[1] + u[1] * a + v[1] * b,
  ];
  const half = line.thickness / 2;
  const cuts = openings
    .filter((o) => o.wall === line.id && o.sill_m < 1.2 && o.head_m > 1.2)
    .map((o) =>
      [o.from, o.to]
        .map((p) => (p[0] - line.from[0]) * u[0] + (p[1] - line.from[1]) * u[1])
        .sort((a, b) => a - b),
    )
    .sort((a, b) => (a[0] ?? 0) - (b[0] ?? 0));
  const end = line.kind === "inside" ? 0 : half;
  const solids: P[][] = [];
  let start = -end;
  for (const [a = 0, b = 0] of [...cuts, [length + end, length + end]]) {
    if (a > start) solids.push([at(start, -half), at(a, -half), at(a, half), at(start, half)]);
    start = b;
  }
  return {
    id: line.id,
    kind: line.kind,
    assembly: "a",
    assembly_name: "Made-up assembly",
    thickness_m: line.thickness,
    length_m: length,
    solids,
  };
}

const W = 10.2;
const H = 8.6;

function shell(prefix: string): WallLine[] {
  const t = 0.32;
  return [
    { id: `${prefix}-west`, kind: "party", from: [0, 0], to: [0, H], thickness: 0.3 },
    { id: `${prefix}-north`, kind: "outer", from: [0, H], to: [W, H], thickness: t },
    { id: `${prefix}-east`, kind: "outer", from: [W, H], to: [W, 0], thickness: t },
    { id: `${prefix}-south`, kind: "outer", from: [W, 0], to: [0, 0], thickness: t },
  ];
}

const inside = (id: string, from: P, to: P, thickness = 0.12): WallLine => ({
  id,
  kind: "inside",
  from,
  to,
  thickness,
});

function opening(
  id: string,
  wall: string,
  kind: Opening["kind"],
  from: P,
  to: P,
  thickness: number,
  sill = 0,
  head = 2.04,
): Opening {
  return { id, wall, kind, from, to, thickness_m: thickness, sill_m: sill, head_m: head };
}

function room(id: string, name: string, use: string, outline: P[], target = true): Room {
  let area = 0;
  outline.forEach(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length] ?? [0, 0];
    area += (ax * by - bx * ay) / 2;
  });
  const x = outline.reduce((sum, p) => sum + p[0], 0) / outline.length;
  const y = outline.reduce((sum, p) => sum + p[1], 0) / outline.length;
  return {
    id,
    name,
    use,
    area_m2: Math.abs(area),
    outline,
    holes: [],
    inside: [x, y],
    target: target ? { down_bps: 25e6, up_bps: 5e6 } : null,
  };
}

const box = (x0: number, y0: number, x1: number, y1: number): P[] => [
  [x0, y0],
  [x1, y0],
  [x1, y1],
  [x0, y1],
];

const O = 0.16;
const I = 0.06;

function ground(): Storey {
  const lines = [
    ...shell("g"),
    inside("g-mid", [O, 4.4], [W - O, 4.4]),
    inside("g-kitchen", [5.9, O], [5.9, 4.4]),
    inside("g-study", [3.3, 4.4], [3.3, H - O]),
    inside("g-utility", [6.5, 4.4], [6.5, H - O]),
    inside("g-wc", [6.5, 6.9], [W - O, 6.9]),
  ];
  const openings = [
    opening("g-front", "g-north", "door", [4.4, H], [5.4, H], 0.32),
    opening("g-w1", "g-north", "window", [1, H], [2.5, H], 0.32, 0.9, 2.1),
    opening("g-w2", "g-north", "window", [8.2, H], [8.9, H], 0.32, 1.45, 2.1),
    opening("g-w3", "g-east", "window", [W, 6.2], [W, 5.1], 0.32, 1.0, 2.1),
    opening("g-w4", "g-south", "window", [9.2, 0], [7.2, 0], 0.32, 1.05, 2.1),
    opening("g-patio", "g-south", "door", [4.2, 0], [1.8, 0], 0.32),
    opening("g-side", "g-east", "door", [W, 3.6], [W, 2.7], 0.32),
    opening("g-d1", "g-mid", "gap", [4.2, 4.4], [5.4, 4.4], 0.12, 0, 2.2),
    opening("g-d2", "g-study", "door", [3.3, 4.65], [3.3, 5.45], 0.12),
    opening("g-d3", "g-utility", "door", [6.5, 5.2], [6.5, 6.0], 0.12),
    opening("g-d4", "g-utility", "door", [6.5, 7.3], [6.5, 8.0], 0.12),
    opening("g-d5", "g-kitchen", "door", [5.9, 2.0], [5.9, 3.5], 0.12),
    opening("g-d6", "g-mid", "door", [7.2, 4.4], [8.0, 4.4], 0.12),
  ];
  return {
    id: "ground",
    name: "Ground floor",
    use: "dwelling",
    floor_z: 0,
    ceiling_z: 2.44,
    walls: lines.map((line) => wallOf(line, openings)),
    openings,
    rooms: [
      room("living", "Living room", "living", box(0.15, O, 5.9 - I, 4.4 - I)),
      room("kitchen", "Kitchen", "kitchen", box(5.9 + I, O, W - O, 4.4 - I)),
      room("study", "Study", "office", box(0.15, 4.4 + I, 3.3 - I, H - O)),
      room("hall", "Hall", "hall", box(3.3 + I, 4.4 + I, 6.5 - I, H - O), false),
      room("utility", "Utility room", "utility", box(6.5 + I, 4.4 + I, W - O, 6.9 - I)),
      room("wc", "WC", "bath", box(6.5 + I, 6.9 + I, W - O, H - O), false),
    ],
    stairs: [{ id: "stair", outline: box(3.4, 5.5, 4.3, 8.3), from: "ground", to: "upper" }],
    outlets: [
      { id: "m1", kind: "mains", at: [0.2, 1.2], height_m: 0.45, room: "living" },
      { id: "m2", kind: "mains", at: [5.78, 0.9], height_m: 0.45, room: "living" },
      { id: "m3", kind: "mains", at: [2.6, 4.28], height_m: 0.45, room: "living" },
      { id: "m4", kind: "mains", at: [9.98, 1.2], height_m: 1.1, room: "kitchen" },
      { id: "m5", kind: "mains", at: [3.2, 7.6], height_m: 0.45, room: "study" },
      { id: "m6", kind: "mains", at: [6.65, 6.6], height_m: 0.45, room: "utility" },
      { id: "tv", kind: "coax", at: [0.2, 3.2], height_m: 0.45, room: "living" },
      { id: "d-01", kind: "data", at: [0.2, 6.4], height_m: 0.45, room: "study" },
      { id: "ph", kind: "phone", at: [6.38, 4.9], height_m: 0.45, room: "hall" },
    ],
    objects: [
      { id: "boiler", name: "Boiler", outline: box(9.4, 4.55, 9.98, 5.0) },
      { id: "bath", name: "Basin", outline: box(9.2, 7.0, 9.7, 7.4) },
      {
        id: "worktop",
        name: "Worktop",
        outline: [
          [6, 0.2],
          [10, 0.2],
          [10, 0.8],
          [6.6, 0.8],
          [6.6, 1.9],
          [6, 1.9],
        ],
      },
    ],
  };
}

function upper(): Storey {
  const lines = [
    ...shell("u"),
    inside("u-mid", [O, 4.6], [W - O, 4.6]),
    inside("u-bed", [5.1, O], [5.1, 4.6]),
    inside("u-bed3", [3.3, 4.6], [3.3, H - O]),
    inside("u-bath", [6.5, 4.6], [6.5, H - O]),
    inside("u-box", [8.7, 4.6], [8.7, H - O]),
  ];
  const openings = [
    opening("u-w1", "u-south", "window", [3.6, 0], [1.8, 0], 0.32, 0.9, 2.1),
    opening("u-w2", "u-south", "window", [8.6, 0], [6.8, 0], 0.32, 0.9, 2.1),
    opening("u-w3", "u-north", "window", [1, H], [2.5, H], 0.32, 0.9, 2.1),
    opening("u-w4", "u-north", "window", [7.2, H], [7.9, H], 0.32, 1.4, 2.1),
    opening("u-d1", "u-mid", "door", [4.0, 4.6], [4.8, 4.6], 0.12),
    opening("u-d2", "u-mid", "door", [5.3, 4.6], [6.1, 4.6], 0.12),
    opening("u-d3", "u-bed3", "door", [3.3, 4.8], [3.3, 5.6], 0.12),
    opening("u-d4", "u-bath", "door", [6.5, 5.0], [6.5, 5.8], 0.12),
    opening("u-d5", "u-box", "door", [8.7, 5.0], [8.7, 5.7], 0.12),
  ];
  return {
    id: "upper",
    name: "Upper floor",
    use: "dwelling",
    floor_z: 2.72,
    ceiling_z: 5.16,
    walls: lines.map((line) => wallOf(line, openings)),
    openings,
    rooms: [
      room("bed-1", "Bedroom 1", "bedroom", box(0.15, O, 5.1 - I, 4.6 - I)),
      room("bed-2", "Bedroom 2", "bedroom", box(5.1 + I, O, W - O, 4.6 - I)),
      room("bed-3", "Bedroom 3", "bedroom", box(0.15, 4.6 + I, 3.3 - I, H - O)),
      room("landing", "Landing", "hall", box(3.3 + I, 4.6 + I, 6.5 - I, H - O), false),
      room("bath", "Bathroom", "bath", box(6.5 + I, 4.6 + I, 8.7 - I, H - O), false),
      room("box", "Box room", "utility", box(8.7 + I, 4.6 + I, W - O, H - O)),
    ],
    stairs: [{ id: "stair", outline: box(3.4, 5.5, 4.3, 8.3), from: "ground", to: "upper" }],
    outlets: [
      { id: "um1", kind: "mains", at: [0.2, 1.2], height_m: 0.45, room: "bed-1" },
      { id: "um2", kind: "mains", at: [10, 3], height_m: 0.45, room: "bed-2" },
    ],
    objects: [],
  };
}

export const house: House = {
  revision: 1,
  name: "Made-up home",
  units: "metric",
  north_deg: 20,
  bounds: { min: [-0.16, -0.16], max: [W + 0.16, H + 0.16] },
  demarcation: { storey: "ground", at: [9.95, 6.5] },
  storeys: [ground(), upper()],
};

export const design: Design = {
  id: "d1",
  name: "Made-up design",
  parts: [
    { id: "panel", part: "panel-structured", room: "utility", at: [9.7, 6.4, 1.2], mounting: "wall" },
    {
      id: "termination",
      part: "ont-1g",
      room: "utility",
      at: [9.7, 6.4, 1.2],
      mounting: "shelf",
      kept: true,
    },
    { id: "router", part: "router-wired", room: "utility", at: [9.7, 6.4, 1.2], mounting: "shelf" },
    { id: "switch", part: "switch-8-poe", room: "utility", at: [9.7, 6.4, 1.2], mounting: "shelf" },
    { id: "ap-1", part: "ap-ax-2x2-ceiling", room: "living", at: [4.6, 3.4, 2.38], mounting: "ceiling" },
    { id: "ap-2", part: "ap-ax-wall-plate", room: "bed-2", at: [9.9, 2.4, 3.2], mounting: "wall" },
    { id: "outlet-1", part: "outlet-kit-cat6", room: "study", at: [0.28, 7.4, 0.4], mounting: "wall" },
  ],
  links: [
    { id: "l1", from: "router", to: "switch", medium: { over: "cord" } },
    { id: "l2", from: "switch", to: "ap-1", medium: { over: "cable", part: "cable-cat6" } },
    { id: "l3", from: "switch", to: "ap-2", medium: { over: "cable", part: "cable-cat6" } },
    { id: "l4", from: "switch", to: "outlet-1", medium: { over: "cable", part: "cable-cat6" } },
    { id: "l5", from: "switch", to: "television-1", medium: { over: "cable", part: "cable-cat6" } },
  ],
};

export const keynotes: Keynote[] = [
  { n: 1, severity: "fails", storey: "ground", at: [1.2, 7.6], id: "k1" },
  { n: 2, severity: "risk", storey: "ground", at: [8.4, 6.0], id: "k2" },
  { n: 3, severity: "note", storey: "ground", at: [9.7, 6.4], id: "k3" },
  { n: 4, severity: "unsafe", storey: "ground", at: [4.6, 3.4], id: "k4" },
  { n: 5, severity: "note", storey: "upper", at: [7.6, 6.0], id: "k5" },
];

/** A map of a storey: log-distance from the access points, with a step for each wall and floor. */
export function mapOf(home: House, storeyId: string, cell = 0.25): CoverageMap {
  const storey = home.storeys.find((s) => s.id === storeyId);
  if (!storey) throw new Error(`no storey ${storeyId}`);
  const origin: P = [home.bounds.min[0], home.bounds.min[1]];
  const columns = Math.ceil((home.bounds.max[0] - origin[0]) / cell);
  const rows = Math.ceil((home.bounds.max[1] - origin[1]) / cell);
  const values: (number | null)[] = [];
  const margin: (number | null)[] = [];
  const rooms: (number | null)[] = [];
  const aps = design.parts.filter((part) => part.part.startsWith("ap-"));
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const p: P = [origin[0] + (column + 0.5) * cell, origin[1] + (row + 0.5) * cell];
      const index = storey.rooms.findIndex((r) => inArea(p, r.outline, r.holes));
      rooms.push(index < 0 ? null : index);
      if (index < 0) {
        values.push(null);
        margin.push(null);
        continue;
      }
      let best = -Infinity;
      for (const ap of aps) {
        const distance = Math.hypot(p[0] - ap.at[0], p[1] - ap.at[1], storey.floor_z + 1 - ap.at[2]);
        let level = -32 - 22 * Math.log10(Math.max(0.5, distance));
        const floors = Math.abs(ap.at[2] - storey.floor_z - 1) > 2 ? 1 : 0;
        level -= 11 * floors;
        for (const wall of storey.walls) {
          for (const solid of wall.solids) {
            const n = crossingsOf(p, [ap.at[0], ap.at[1]], solid).length;
            if (n >= 2) level -= wall.kind === "inside" ? 5 : 12;
          }
        }
        best = Math.max(best, level);
      }
      values.push(best);
      margin.push(storey.rooms[index]?.target ? best + 62 : null);
    }
  }
  return {
    design: "d1",
    storey: storeyId,
    band: "5",
    quantity: "level",
    unit: "dBm",
    origin,
    cell,
    rows,
    columns,
    values,
    margin_db: margin,
    room: rooms,
    levels: [-68, -65, -62, -59, -56, -53, -50, -47],
  };
}

export const probe: Probe = {
  value: { level_dbm: -61.8, down_bps: 212e6, up_bps: 96e6, probability: 0.93 },
  at: [1.6, 6.2],
  storey: "ground",
  room: "study",
  part: "ap-1",
  band: "5",
  spread_db: 3.8,
  distance_m: 4.3,
  target: { down_bps: 25e6, up_bps: 5e6 },
  margin_db: -1.4,
  covered: false,
  legs: [
    { label: "Radiated power", value: 20, unit: "dBm", element: null, source: null },
    { label: "Free space, 4.3 m", value: -60.1, unit: "dB", element: null, source: null },
    { label: "Made-up assembly, 31\u00b0", value: -4.4, unit: "dB", element: "g-mid", source: null },
    { label: "Reflections", value: 1.9, unit: "dB", element: null, source: null },
  ],
  // From the access point straight through the wall; by the west wall; round a jamb of the hall's door, from the floor.
  paths: [
    {
      level_dbm: -63.7,
      length_m: 4.32,
      delay_ns: 14.4,
      points: [
        [4.6, 3.4, 2.38],
        [1.6, 6.2, 1],
      ],
      turns: [],
      crossings: [
        { at: [3.53, 4.4, 1.89], element: "g-mid", label: "Made-up assembly", angle_deg: 31, loss_db: 4.4 },
        { at: [3.2, 4.71, 1.73], element: "g-nothing", label: "Open door", angle_deg: 3, loss_db: 0 },
      ],
    },
    {
      level_dbm: -68.1,
      length_m: 7.1,
      delay_ns: 23.7,
      points: [
        [4.6, 3.4, 2.38],
        [0, 5.48, 1.35],
        [1.6, 6.2, 1],
      ],
      turns: [
        {
          kind: "reflection",
          at: [0, 5.48, 1.35],
          element: "g-west",
          label: "Made-up assembly",
          angle_deg: 24,
          loss_db: 6.2,
        },
      ],
      crossings: [
        { at: [2.39, 4.4, 1.89], element: "g-mid", label: "Made-up assembly", angle_deg: 66, loss_db: 5.9 },
      ],
    },
    {
      level_dbm: -79.5,
      length_m: 5.6,
      delay_ns: 18.7,
      points: [
        [4.6, 3.4, 2.38],
        [4.5, 4.4, 1.7],
        [3.4, 5.1, 0],
        [1.6, 6.2, 1],
      ],
      turns: [
        {
          kind: "diffraction",
          at: [4.5, 4.4, 1.7],
          element: "g-d1",
          label: "edge of g-d1",
          angle_deg: 52,
          loss_db: 14.1,
        },
        {
          kind: "reflection",
          at: [3.4, 5.1, 0],
          element: "g-floor",
          label: "Made-up floor",
          angle_deg: 50,
          loss_db: 5,
        },
      ],
      crossings: [],
    },
  ],
  others: { count: 4, level_dbm: -81.2 },
  missing: [],
  sources: [],
};
