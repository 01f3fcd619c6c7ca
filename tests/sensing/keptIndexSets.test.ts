import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { RangeSet, TimeSet } from "../../lib/sensing/keptIndex.ts";

/** Ranges by brute force. */
function rangesOf(numbers: ReadonlySet<number>): number[] {
  const out: number[] = [];
  for (const n of [...numbers].sort((a, b) => a - b)) {
    if (out.at(-1) === n - 1) out[out.length - 1] = n;
    else out.push(n, n);
  }
  return out;
}

describe("RangeSet and TimeSet hold what a Set holds (fast-check, seed 31)", () => {
  const around = (place: number): fc.Arbitrary<number> => fc.integer({ min: Math.max(0, place - 3), max: place + 3 });
  const whole = fc.oneof(fc.nat(40), around(1023), around(2048), around(2 ** 31), around(2 ** 32), fc.integer({ min: 2 ** 53 - 4, max: 2 ** 53 - 1 }));

  it("whole numbers around 0, the ends of buckets, 2^31, 2^32 and up to 2^53 − 1; ranges as by brute force, and the same again from them", () => {
    fc.assert(fc.property(fc.array(whole, { maxLength: 80 }), fc.array(whole, { maxLength: 20 }), (added, asked) => {
      const set = new RangeSet(), truth = new Set(added);
      for (const n of added) set.add(n);
      expect(asked.map((n) => set.has(n))).toEqual(asked.map((n) => truth.has(n)));
      expect(set.bounds).toEqual(rangesOf(truth));
      expect(new RangeSet(set.bounds).bounds).toEqual(set.bounds);
    }), { seed: 31 });
  });

  it("5000 numbers in a row, backwards, forwards or every third first, are one range", () => {
    const orders = [Array.from({ length: 5000 }, (_, i) => 4999 - i), Array.from({ length: 5000 }, (_, i) => i), [0, 1, 2].flatMap((third) => Array.from({ length: 1667 }, (_, i) => 3 * i + third).filter((n) => n < 5000))];
    for (const order of orders) {
      const set = new RangeSet();
      for (const n of order) set.add(n);
      expect([set.bounds, set.has(4999), set.has(5000)]).toEqual([[0, 4999], true, false]);
    }
  });

  it("times of either sign in any order, up to 7000 of them: listed in order, each once, and the same again from the list", () => {
    fc.assert(fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.integer({ min: 1, max: 7000 }), fc.integer({ min: 1, max: 97 }), (first, count, step) => {
      const set = new TimeSet(), truth = new Set<number>(), times = Array.from({ length: count }, (_, i) => ((i * step * 31) % 6007) - 3000.5).concat(first);
      for (const tS of times) {
        set.add(tS);
        truth.add(tS);
      }
      expect(set.list).toEqual([...truth].sort((a, b) => a - b));
      expect(times.every((tS) => set.has(tS)) && !set.has(0.25)).toBe(first !== 0.25);
      expect(new TimeSet(set.list).list).toEqual(set.list);
    }), { seed: 31, numRuns: 40 });
  });
});
