import { describe, expect, it } from "vitest";
import { hull, type Oriented, overlap, segmentMeets, upright } from "./oriented.ts";
import { type Candidate, type LabelRequest, type PlacementInput, placeLabels } from "./placement.ts";

/** A small generator with a seed (Park and Miller, 1988), so that a failure can be repeated. */
function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

function randomInput(seed: number): PlacementInput {
  const next = random(seed);
  const sheet = { minX: 0, minY: 0, maxX: 300 + 600 * next(), maxY: 200 + 500 * next() };
  const at = (): [number, number] => [next() * sheet.maxX, next() * sheet.maxY];
  const labels: LabelRequest[] = [];
  const count = 5 + Math.floor(next() * 90);
  for (let i = 0; i < count; i++) {
    const [x, y] = at();
    const isNote = next() < 0.15;
    const w = isNote ? 24 : 15 + 90 * next();
    const h = isNote ? 24 : 10 + 20 * next();
    const angle = !isNote && next() < 0.3 ? (next() - 0.5) * Math.PI : 0;
    const candidates: Candidate[] = [];
    const places = 1 + Math.floor(next() * 14);
    for (let c = 0; c < places; c++) {
      const away = 40 * next();
      const turn = next() * 2 * Math.PI;
      const box: Oriented = { x: x + away * Math.cos(turn), y: y + away * Math.sin(turn), w, h, angle };
      const cost = Math.floor(next() * 8);
      candidates.push(
        away > 25
          ? {
              box,
              cost,
              leader: [
                [x, y],
                [box.x, box.y],
              ],
            }
          : { box, cost },
      );
    }
    labels.push({
      id: `${isNote ? "keynote" : "label"}:${i}`,
      priority: isNote ? 100 : Math.floor(next() * 5),
      candidates,
    });
  }
  const obstacles = Array.from({ length: Math.floor(next() * 20) }, () => ({
    box: upright(...at(), 5 + 20 * next(), 5 + 20 * next()),
  }));
  const lines = Array.from({ length: Math.floor(next() * 20) }, () => ({ a: at(), b: at(), cost: 3 }));
  return { labels, obstacles, lines, sheet, gap: 2 };
}

describe("placed labels", () => {
  it("never overlap, leave the sheet or cover an obstacle, on 300 random sheets", () => {
    const wrong: string[] = [];
    let numPlaced = 0;
    let numDropped = 0;
    for (let seed = 1; seed <= 300; seed++) {
      const input = randomInput(seed);
      const { sheet } = input;
      const { placed, dropped } = placeLabels(input);
      const places = [...placed];
      numPlaced += places.length;
      numDropped += dropped.length;
      if (placed.size + dropped.length !== input.labels.length) wrong.push(`seed ${seed}: a label is lost`);
      places.forEach(([id, { box, leader }], i) => {
        const around = hull(box);
        const isIn =
          around.minX >= sheet.minX &&
          around.maxX <= sheet.maxX &&
          around.minY >= sheet.minY &&
          around.maxY <= sheet.maxY;
        if (!isIn) wrong.push(`seed ${seed}: ${id} leaves the sheet`);
        for (const [other, { box: b }] of places.slice(i + 1))
          if (overlap(box, b)) wrong.push(`seed ${seed}: ${id} covers ${other}`);
        if (input.obstacles.some((o) => overlap(box, o.box)))
          wrong.push(`seed ${seed}: ${id} covers an obstacle`);
        // No leader runs through a label that is not its own.
        if (!leader) return;
        for (const [other, { box: b }] of places) {
          if (other !== id && segmentMeets(b, leader[0], leader[1]))
            wrong.push(`seed ${seed}: the leader of ${id} meets ${other}`);
        }
      });
    }
    expect(wrong).toEqual([]);
    // The sheets are so crowded that dropping is tested too.
    expect(numDropped).toBeGreaterThan(1000);
    expect(numPlaced).toBeGreaterThan(5000);
  });

  it("are the same every time and do not depend on the order they are given in", () => {
    for (let seed = 1; seed <= 40; seed++) {
      const input = randomInput(seed);
      const once = placeLabels(input);
      const again = placeLabels({ ...input, labels: [...input.labels].reverse() });
      expect([...again.placed].sort()).toEqual([...once.placed].sort());
    }
  });

  it("are no fewer than greedy placing alone gives, and drop the lesser first", () => {
    const box = (x: number): Candidate => ({ box: upright(x, 50, 40, 20), cost: 0 });
    const both = placeLabels({
      labels: [
        { id: "much", priority: 2, candidates: [box(50)] },
        { id: "little", priority: 1, candidates: [box(60)] },
      ],
      obstacles: [],
      lines: [],
      sheet: { minX: 0, minY: 0, maxX: 200, maxY: 100 },
      gap: 2,
    });
    expect([...both.placed.keys()]).toEqual(["much"]);
    expect(both.dropped).toEqual(["little"]);
  });

  it("move one another out of the way", () => {
    const at = (x: number, cost: number): Candidate => ({ box: upright(x, 50, 40, 20), cost });
    const { placed } = placeLabels({
      labels: [
        { id: "a", priority: 2, candidates: [at(50, 0), at(150, 1)] },
        { id: "b", priority: 1, candidates: [at(60, 0)] },
      ],
      obstacles: [],
      lines: [],
      sheet: { minX: 0, minY: 0, maxX: 200, maxY: 100 },
      gap: 2,
    });
    expect(placed.get("a")?.box.x).toBe(150);
    expect(placed.get("b")?.box.x).toBe(60);
  });

  it("keep off lines where they can", () => {
    const { placed } = placeLabels({
      labels: [
        {
          id: "a",
          priority: 1,
          candidates: [
            { box: upright(50, 50, 40, 20), cost: 0 },
            { box: upright(120, 50, 40, 20), cost: 1 },
          ],
        },
      ],
      obstacles: [],
      lines: [{ a: [50, 0], b: [50, 100], cost: 3 }],
      sheet: { minX: 0, minY: 0, maxX: 200, maxY: 100 },
      gap: 2,
    });
    expect(placed.get("a")?.box.x).toBe(120);
  });
});

describe("turned boxes", () => {
  it("overlap only where they do", () => {
    const flat = upright(0, 0, 100, 10);
    expect(overlap(flat, { x: 0, y: 20, w: 100, h: 10, angle: 0 })).toBe(false);
    expect(overlap(flat, { x: 0, y: 30, w: 100, h: 10, angle: Math.PI / 4 })).toBe(true);
    // The boxes around both touch, but they pass each other.
    expect(
      overlap({ x: 0, y: 0, w: 100, h: 10, angle: Math.PI / 4 }, { x: 30, y: -30, w: 20, h: 10, angle: 0 }),
    ).toBe(false);
    expect(overlap(flat, upright(0, 10, 100, 10))).toBe(false);
  });
});
