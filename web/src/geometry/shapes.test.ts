import { describe, expect, it } from "vitest";
import { readable, stretches, withGap } from "./along.ts";
import { axonometry, prism, seen, stacked, unseen } from "./axonometric.ts";
import { Buckets } from "./buckets.ts";
import { cornerFor } from "./callout.ts";
import { crossingsOf } from "./crossing.ts";
import { doorOf, frameOf, inFrame } from "./opening.ts";
import {
  clearestPoint,
  clipLine,
  inArea,
  type Ring,
  rayLength,
  runsWhere,
  signedArea,
  simplified,
  withoutCells,
} from "./polygon.ts";
import { stairLines } from "./stair.ts";
import { inTwoLines, shortened, textWidth } from "./text.ts";
import { turnFromWall } from "./wall-side.ts";

const square: Ring = [
  [0, 0],
  [4, 0],
  [4, 4],
  [0, 4],
];
const hole: Ring = [
  [1, 1],
  [1, 2],
  [2, 2],
  [2, 1],
];
// An L: 4 by 4 without its upper right 2 by 2.
const ell: Ring = [
  [0, 0],
  [4, 0],
  [4, 2],
  [2, 2],
  [2, 4],
  [0, 4],
];

describe("polygons", () => {
  it("are measured with their turn", () => {
    expect(signedArea(square)).toBe(16);
    expect(signedArea([...square].reverse())).toBe(-16);
    expect(signedArea(ell)).toBe(12);
  });

  it("hold what is inside and not what is in a hole", () => {
    expect(inArea([3, 3], square, [hole])).toBe(true);
    expect(inArea([1.5, 1.5], square, [hole])).toBe(false);
    expect(inArea([3, 3], ell)).toBe(false);
  });

  it("cut lines to their inside", () => {
    const cut = clipLine(
      [
        [-1, 1.5],
        [5, 1.5],
      ],
      square,
      [hole],
    );
    expect(cut).toHaveLength(2);
    expect(cut[0]?.[0]?.[0]).toBeCloseTo(0, 12);
    expect(cut[0]?.[1]?.[0]).toBeCloseTo(1, 12);
    expect(cut[1]?.[0]?.[0]).toBeCloseTo(2, 12);
    expect(cut[1]?.[1]?.[0]).toBeCloseTo(4, 12);
    expect(
      clipLine(
        [
          [5, 0],
          [5, 4],
        ],
        square,
      ),
    ).toEqual([]);
    // A line that is inside keeps all its points.
    expect(
      clipLine(
        [
          [1, 3],
          [2, 3.5],
          [3, 3],
        ],
        square,
      ),
    ).toEqual([
      [
        [1, 3],
        [2, 3.5],
        [3, 3],
      ],
    ]);
  });

  it("leave out cells of a grid, cut where they begin", () => {
    const kept = withoutCells(
      [
        [0.1, 0.5],
        [2.9, 0.5],
      ],
      [0, 0],
      1,
      (x) => x > 1 && x < 2,
    );
    expect(kept).toHaveLength(2);
    expect(kept[0]?.[1]?.[0]).toBeCloseTo(1, 12);
    expect(kept[1]?.[0]?.[0]).toBeCloseTo(2, 12);
    expect(
      runsWhere(
        [
          [0, 0],
          [1, 0],
          [2, 0],
          [3, 0],
        ],
        (x) => x < 1 || x > 2,
      ),
    ).toEqual([
      [
        [0, 0],
        [1, 0],
      ],
      [
        [2, 0],
        [3, 0],
      ],
    ]);
  });

  it("have a clearest point", () => {
    expect(clearestPoint(square).at[0]).toBeCloseTo(2, 1);
    const { at, clear } = clearestPoint(ell, [], 0.01);
    // The largest circle in this L touches two outer walls and the inner corner: r(1 + 1/√2) = 2 → r = 1.1716.
    expect(clear).toBeCloseTo(1.1716, 1);
    expect(inArea(at, ell)).toBe(true);
  });

  it("stop rays", () => {
    expect(rayLength([1, 1], [1, 0], [ell])).toBeCloseTo(3, 12);
    expect(rayLength([1, 3], [1, 0], [ell])).toBeCloseTo(1, 12);
    expect(rayLength([9, 9], [1, 0], [ell])).toBe(Infinity);
  });

  it("lose only points that do not matter", () => {
    expect(
      simplified(
        [
          [0, 0],
          [1, 0.001],
          [2, 0],
          [2, 1],
        ],
        0.01,
      ),
    ).toEqual([
      [0, 0],
      [2, 0],
      [2, 1],
    ]);
  });
});

describe("labels along a line", () => {
  it("stand on straight stretches, upright, and open the line", () => {
    const line: Ring = [
      [0, 0],
      [100, 0],
      [100, 10],
    ];
    const found = stretches(line, 20, 5, 10, 1);
    expect(found.length).toBeGreaterThan(3);
    for (const s of found) expect(s.to).toBeLessThanOrEqual(105);
    expect(found[0]?.angle).toBeCloseTo(0, 12);
    const [before, after] = withGap(line, 30, 50);
    expect(before).toEqual([
      [0, 0],
      [30, 0],
    ]);
    expect(after).toEqual([
      [50, 0],
      [100, 0],
      [100, 10],
    ]);
  });

  it("stand on no short line", () => {
    expect(
      stretches(
        [
          [0, 0],
          [50, 0],
        ],
        20,
        5,
        10,
        1,
      ),
    ).toEqual([]);
  });

  it("are never upside down", () => {
    for (let i = -20; i <= 20; i++) {
      const angle = readable((i * Math.PI) / 10);
      if (Math.abs(i) <= 10) expect(Math.abs(angle)).toBeLessThanOrEqual(Math.PI / 2 + 1e-9);
    }
    expect(readable(Math.PI)).toBeCloseTo(0, 12);
    expect(readable(Math.PI / 2)).toBeCloseTo(-Math.PI / 2, 12);
  });
});

describe("doors", () => {
  const hall = {
    outline: [
      [0, 0.05],
      [4, 0.05],
      [4, 2],
      [0, 2],
    ] as Ring,
    holes: [],
    use: "hall",
  };
  const bedroom = {
    outline: [
      [0, -3],
      [4, -3],
      [4, -0.05],
      [0, -0.05],
    ] as Ring,
    holes: [],
    use: "bedroom",
  };

  it("open into the room, against the nearer wall", () => {
    const frame = frameOf([2.9, 0], [3.7, 0], 0.1);
    const [leaf] = doorOf(frame, [hall, bedroom]).leaves;
    expect(leaf?.open[1]).toBeCloseTo(-0.85, 9);
    expect(leaf?.hinge[0]).toBeCloseTo(3.7, 9);
    expect(leaf?.radius).toBeCloseTo(0.8, 9);
    // The arc ends where the leaf's edge is when shut, as far from the hinge as when open.
    expect(Math.hypot((leaf?.shut[0] ?? 0) - 3.7, (leaf?.shut[1] ?? 0) + 0.05)).toBeCloseTo(0.8, 9);
  });

  it("turn the arc the short way", () => {
    for (const [from, to] of [
      [
        [1, 0],
        [1.8, 0],
      ],
      [
        [3.7, 0],
        [2.9, 0],
      ],
    ] as const) {
      for (const rooms of [[hall, bedroom], [{ ...hall, use: "living" }]]) {
        for (const leaf of doorOf(frameOf(from, to, 0.1), rooms).leaves) {
          const a = Math.atan2(leaf.open[1] - leaf.hinge[1], leaf.open[0] - leaf.hinge[0]);
          const b = Math.atan2(leaf.shut[1] - leaf.hinge[1], leaf.shut[0] - leaf.hinge[0]);
          const quarter = (((b - a) * (leaf.counterClockwise ? 1 : -1)) / Math.PI + 4) % 2;
          expect(quarter).toBeCloseTo(0.5, 9);
        }
      }
    }
  });

  it("have two leaves when wide, and slide when wider", () => {
    expect(doorOf(frameOf([0.5, 0], [2, 0], 0.1), [hall]).leaves).toHaveLength(2);
    const slider = doorOf(frameOf([0.5, 0], [2.9, 0], 0.1), [hall]);
    expect(slider.leaves).toHaveLength(0);
    expect(slider.panels).toHaveLength(2);
  });

  it("have a frame along and across the wall", () => {
    const frame = frameOf([1, 1], [1, 2], 0.2);
    expect(inFrame(frame, 0.5, 0.1)[0]).toBeCloseTo(0.9, 12);
    expect(inFrame(frame, 0.5, 0.1)[1]).toBeCloseTo(1.5, 12);
  });
});

describe("stairs", () => {
  const outline: Ring = [
    [3.5, 5.75],
    [4.4, 5.75],
    [4.4, 8.8],
    [3.5, 8.8],
  ];
  const hall: Ring = [
    [3.4, 4.8],
    [6.6, 4.8],
    [6.6, 9],
    [3.4, 9],
  ];

  it("go up from the end with more floor before it, on both storeys the same way", () => {
    const up = stairLines(outline, [hall], true);
    const down = stairLines(outline, [hall], false);
    const [a, b] = [up?.walk[0]?.[1] ?? 0, up?.walk[1]?.[1] ?? 0];
    expect(a).toBeLessThan(b);
    expect(down?.walk[0]?.[1]).toBeGreaterThan(down?.walk[1]?.[1] ?? 0);
    // 3.05 m in goings of about 25 cm: 12 treads, 11 lines between them.
    expect((up?.treads.length ?? 0) + (up?.hidden.length ?? 0)).toBe(11);
    expect(up?.cut.length).toBeGreaterThan(0);
    expect(down?.hidden).toEqual([]);
    expect(down?.treads).toHaveLength(11);
  });

  it("turn half-way when wide", () => {
    const wide = stairLines(
      [
        [0, 0],
        [2, 0],
        [2, 2.6],
        [0, 2.6],
      ],
      [],
      true,
    );
    expect(wide?.walk).toHaveLength(4);
  });

  it("are nothing without an extent", () => {
    expect(
      stairLines(
        [
          [0, 0],
          [0, 0],
          [0, 0],
        ],
        [],
        true,
      ),
    ).toBeNull();
  });
});

describe("paths through a plan", () => {
  it("cross the faces of walls", () => {
    const wall: Ring = [
      [2, 0],
      [2.2, 0],
      [2.2, 5],
      [2, 5],
    ];
    expect(crossingsOf([0, 1], [4, 1], wall)).toHaveLength(2);
    expect(crossingsOf([0, 7], [4, 7], wall)).toHaveLength(0);
  });

  it("face away from the wall", () => {
    expect(turnFromWall([0.1, 2], square)).toBeCloseTo(90, 9);
    expect(turnFromWall([3.9, 2], square)).toBeCloseTo(-90, 9);
    expect(turnFromWall([2, 0.1], square)).toBeCloseTo(0, 9);
    expect(Math.abs(turnFromWall([2, 3.9], square))).toBeCloseTo(180, 9);
    expect(turnFromWall([0, 2], square)).toBeCloseTo(90, 9);
  });
});

describe("the axonometric view", () => {
  const axo = axonometry(24, 0.46);

  it("is undone on its level", () => {
    const p = seen(axo, [3.2, -1.7], 5);
    const back = unseen(axo, p, 5);
    expect(back[0]).toBeCloseTo(3.2, 12);
    expect(back[1]).toBeCloseTo(-1.7, 12);
  });

  it("is orthographic: depth and height leave what a tilt of one angle leaves", () => {
    expect(axo.lay ** 2 + axo.rise ** 2).toBeCloseTo(1, 12);
  });

  it("shows the sides of a solid that face the viewer", () => {
    const box = prism(axo, square, 0, 1);
    expect(box.sides).toHaveLength(2);
    expect(box.sides.filter((side) => side.isLeft)).toHaveLength(1);
    expect(prism(axo, [...square].reverse(), 0, 1).sides).toHaveLength(2);
  });

  it("keeps storeys in order and their heights in proportion", () => {
    const { levels, stretch } = stacked([{ floor_z: 2.7 }, { floor_z: -2.4 }, { floor_z: 0 }], 6);
    expect(levels.map((level) => level.item.floor_z)).toEqual([-2.4, 0, 2.7]);
    expect(stretch).toBeCloseTo(2.5, 12);
    expect(levels[1]?.height).toBeCloseTo(6, 12);
    expect(levels[2]?.height).toBeCloseTo(12.75, 12);
  });
});

describe("the width of a text", () => {
  it("is the sum of the typeface's advances, and a little more", () => {
    // IBM Plex Sans 600: R 664, o 563, o 563, m 888.
    const face = { family: "text", weight: 600, size: 10 } as const;
    expect(textWidth("Room", face)).toBeCloseTo(26.78 * 1.03, 2);
    expect(textWidth("\u221262", { family: "figure", weight: 400, size: 10 })).toBeCloseTo(18 * 1.03, 9);
    expect(textWidth("\u6c34", face)).toBeGreaterThanOrEqual(10);
  });

  it("breaks and shortens", () => {
    const face = { family: "text", weight: 400, size: 12 } as const;
    expect(inTwoLines("Utility room", face)).toEqual(["Utility", "room"]);
    expect(inTwoLines("Hall", face)).toEqual(["Hall"]);
    expect(textWidth(shortened("A very long name", 40, face), face)).toBeLessThanOrEqual(40);
  });
});

describe("a callout", () => {
  const window = { width: 1000, height: 700 };
  const box = { width: 260, height: 200 };

  it("stands where it does not cover the way to the point", () => {
    expect(cornerFor([500, 300], null, box, window)).toEqual({ left: 520, top: 320 });
    expect(cornerFor([500, 300], [700, 500], box, window)).toEqual({ left: 220, top: 320 });
    expect(cornerFor([980, 690], null, box, window)).toEqual({ left: 700, top: 492 });
  });

  it("is held inside a small window", () => {
    const { left, top } = cornerFor(
      [100, 100],
      null,
      { width: 300, height: 300 },
      { width: 320, height: 320 },
    );
    for (const edge of [left, top]) {
      expect(edge).toBeGreaterThanOrEqual(8);
      expect(edge + 300).toBeLessThanOrEqual(312);
    }
  });
});

describe("buckets", () => {
  it("find the same as looking at everything", () => {
    // Boxes on a crooked lattice, some far off the sheet.
    const boxes = Array.from({ length: 400 }, (_, i) => {
      const x = ((i * 97) % 1900) - 300;
      const y = ((i * 53) % 1300) - 200;
      return { minX: x, minY: y, maxX: x + (i % 7) * 40, maxY: y + (i % 5) * 30 };
    });
    const buckets = new Buckets<number>();
    boxes.forEach((box, i) => {
      buckets.add(box, i);
    });
    for (const probe of boxes.slice(0, 60)) {
      const found: number[] = [];
      buckets.some(probe, (i) => {
        found.push(i);
        return false;
      });
      const all = boxes.flatMap((b, i) =>
        b.minX <= probe.maxX && probe.minX <= b.maxX && b.minY <= probe.maxY && probe.minY <= b.maxY
          ? [i]
          : [],
      );
      expect(found.sort((a, b) => a - b)).toEqual(all);
    }
  });
});
