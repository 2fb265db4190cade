// Boxes by place, so that what is near a box is found without looking at everything.

import type { Box } from "./brand.ts";

/** Side of a bucket, in the unit of the boxes: about as wide as a label. */
const SIDE = 80;

export class Buckets<T> {
  readonly #items: { readonly box: Box; readonly item: T }[] = [];
  readonly #buckets = new Map<number, number[]>();
  readonly #seen: number[] = [];
  #round = 0;

  add(box: Box, item: T): void {
    const index = this.#items.push({ box, item }) - 1;
    this.#seen.push(0);
    this.#over(box, (key) => {
      const bucket = this.#buckets.get(key);
      if (bucket) bucket.push(index);
      else this.#buckets.set(key, [index]);
      return false;
    });
  }

  /** True if `test` is true of any item whose box meets `box`, edges included; each item is tested once. */
  some(box: Box, test: (item: T) => boolean): boolean {
    this.#round++;
    return this.#over(box, (key) => {
      for (const index of this.#buckets.get(key) ?? []) {
        if (this.#seen[index] === this.#round) continue;
        this.#seen[index] = this.#round;
        const entry = this.#items[index];
        if (entry && meets(entry.box, box) && test(entry.item)) return true;
      }
      return false;
    });
  }

  #over(box: Box, visit: (key: number) => boolean): boolean {
    const right = bucketOf(box.maxX);
    const bottom = bucketOf(box.maxY);
    for (let x = bucketOf(box.minX); x <= right; x++) {
      for (let y = bucketOf(box.minY); y <= bottom; y++) if (visit(x * 4096 + y)) return true;
    }
    return false;
  }
}

/** Things far off the sheet share the outermost buckets. */
const bucketOf = (n: number): number => Math.max(-64, Math.min(200, Math.floor(n / SIDE)));

const meets = (a: Box, b: Box): boolean =>
  a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;
