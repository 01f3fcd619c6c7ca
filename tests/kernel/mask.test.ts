import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { closeMask, cropMask, dilateMask, eachComponent, openMask } from "../../lib/kernel/mask.ts";

interface Image { readonly width: number; readonly height: number; readonly mask: Uint8Array }

const image = fc.tuple(fc.integer({ min: 1, max: 13 }), fc.integer({ min: 1, max: 11 })).chain(([width, height]) =>
  fc.array(fc.integer({ min: 0, max: 9 }), { minLength: width * height, maxLength: width * height })
    .map((cells): Image => ({ width, height, mask: Uint8Array.from(cells, (v) => (v > 3 ? 1 : 0)) })));

function drawn(rows: readonly string[]): Image {
  return { width: rows[0]!.length, height: rows.length, mask: Uint8Array.from(rows.join(""), (c) => (c === "#" ? 1 : 0)) };
}

const at = (i: Image, x: number, y: number): number => (x < 0 || y < 0 || x >= i.width || y >= i.height ? 0 : i.mask[y * i.width + x]!);

/** Each cell by looking at its whole square: all of it (erosion) or any of it (dilation); outside is 0. */
function bruteSquare(i: Image, radius: number, erode: boolean): Uint8Array {
  const out = new Uint8Array(i.mask.length);
  for (let y = 0; y < i.height; y++) {
    for (let x = 0; x < i.width; x++) {
      let ones = 0;
      for (let dy = -radius; dy <= radius; dy++) for (let dx = -radius; dx <= radius; dx++) ones += at(i, x + dx, y + dy);
      out[y * i.width + x] = erode ? Number(ones === (2 * radius + 1) ** 2) : Number(ones > 0);
    }
  }
  return out;
}

function components(i: Image): number[][] {
  const found: number[][] = [];
  eachComponent(i.mask, i.width, i.height, (cells) => found.push([...cells].sort((a, b) => a - b)));
  return found;
}

/** Two cells are of one component where a chain of neighbours leads from one to the other: labels spread until nothing changes. */
function bruteLabels(i: Image): number[] {
  const labels = Array.from(i.mask, (v, k) => (v === 1 ? k : -1));
  for (let changed = true; changed;) {
    changed = false;
    for (let y = 0; y < i.height; y++) {
      for (let x = 0; x < i.width; x++) {
        if (at(i, x, y) === 0) continue;
        for (let dy = -1; dy <= 1; dy++) {
          for (let dx = -1; dx <= 1; dx++) {
            if (at(i, x + dx, y + dy) === 0) continue;
            const here = y * i.width + x, there = (y + dy) * i.width + x + dx;
            if (labels[there]! < labels[here]!) { labels[here] = labels[there]!; changed = true; }
          }
        }
      }
    }
  }
  return labels;
}

describe("dilation and opening by a square", () => {
  it.each([0, 1, 2, 4])("dilation by %d cells is that of every square looked at whole (fast-check, seed 71)", (radius) => {
    fc.assert(fc.property(image, (i) => { expect(dilateMask(i.mask, i.width, i.height, radius)).toEqual(bruteSquare(i, radius, false)); }), { seed: 71, numRuns: 120 });
  });

  it.each([0, 1, 2])("opening by %d cells is erosion then dilation, cell by cell (fast-check, seed 72)", (radius) => {
    fc.assert(fc.property(image, (i) => {
      const opened = bruteSquare({ ...i, mask: bruteSquare(i, radius, true) }, radius, false);
      expect(openMask(i.mask, i.width, i.height, radius)).toEqual(opened);
    }), { seed: 72, numRuns: 120 });
  });

  it.each([1, 2])("closing by %d cells is dilation then erosion, and keeps what was there (fast-check, seed 74)", (radius) => {
    fc.assert(fc.property(image, (i) => {
      const eroded = bruteSquare({ ...i, mask: bruteSquare(i, radius, false) }, radius, true);
      expect(closeMask(i.mask, i.width, i.height, radius)).toEqual(eroded.map((v, k) => v | i.mask[k]!));
    }), { seed: 74, numRuns: 120 });
  });

  it("an opening by 1 cell takes a sliver 2 cells thin away and leaves a block of 3 × 4 as it is", () => {
    const i = drawn(["##......", "##.####.", "##.####.", "##.####.", "##......"]);
    expect(openMask(i.mask, i.width, i.height, 1)).toEqual(drawn(["........", "...####.", "...####.", "...####.", "........"]).mask);
  });
});

describe("8-connected components", () => {
  // check value 6.6: 8-connected counts; the 4-connected counts (2, 8, 4) would be other numbers
  it.each([
    ["a diagonal pair", ["#.", ".#"], 1], ["a 4 × 4 checkerboard", ["#.#.", ".#.#", "#.#.", ".#.#"], 1], ["a 3 × 3 diamond ring", [".#.", "#.#", ".#."], 1],
    ["two cells a column apart", ["#.#"], 2], ["nothing", ["..."], 0],
  ] as const)("%s: %j has %d", (_what, rows, count) => {
    expect(components(drawn(rows))).toHaveLength(count);
  });

  it("are those of labels that spread until nothing changes, in order of first cell (fast-check, seed 73)", () => {
    fc.assert(fc.property(image, (i) => {
      const labels = bruteLabels(i);
      const expected = [...new Set(labels)].filter((l) => l >= 0).map((l) => labels.flatMap((v, k) => (v === l ? [k] : []))).sort((a, b) => a[0]! - b[0]!);
      expect(components(i)).toEqual(expected);
    }), { seed: 73, numRuns: 200 });
  });

  it("a run at the right edge is not joined to the next row's left edge", () => {
    expect(components(drawn(["....#", "#....", "....."]))).toHaveLength(2);
  });
});

describe("the part of an image that holds every one", () => {
  it("with its margin opens to what the whole image opens to, moved (fast-check, seed 74)", () => {
    fc.assert(fc.property(image, (i) => {
      const part = cropMask(i.mask, i.width, i.height, 2);
      const whole = openMask(i.mask, i.width, i.height, 1);
      if (part === null) return expect(Array.from(i.mask)).not.toContain(1);
      const opened = openMask(part.mask, part.width, part.height, 1);
      const back = new Uint8Array(i.mask.length);
      opened.forEach((v, k) => { back[(part.y0 + Math.floor(k / part.width)) * i.width + part.x0 + k % part.width] = v; });
      expect([...back]).toEqual([...whole]);
    }), { seed: 74 });
  });

  it("is no larger than the ones and the margin", () => {
    const i = drawn(["........", "..#.....", "....#...", "........", "........"]);
    expect(cropMask(i.mask, i.width, i.height, 1)).toMatchObject({ x0: 1, y0: 0, width: 5, height: 4 });
    expect(cropMask(new Uint8Array(40), 8, 5, 1)).toBeNull();
  });
});
