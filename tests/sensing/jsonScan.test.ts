import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { JsonScan } from "../../lib/sensing/jsonScan.ts";

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(`${text}\n`);

function floats(text: string): number[] | null {
  const out = new Float32Array(text.length);
  const count = new JsonScan().at(bytesOf(text), 0).floats(out, 0);
  return count < 0 ? null : [...out.subarray(0, count)];
}

describe("scanning numbers out of JSON bytes", () => {
  it("reads a list to the float32 nearest to JSON.parse, bit for bit (fast-check, seed 20260101, 2000 lists)", () => {
    const number = fc.oneof(
      fc.double({ noNaN: true, min: -1e30, max: 1e30 }), fc.float({ noNaN: true, noDefaultInfinity: true }), fc.integer(), fc.constant(null),
      fc.tuple(fc.integer({ min: -99999, max: 99999 }), fc.integer({ min: 0, max: 9 })).map(([n, k]) => n / 10 ** k),
    );
    fc.assert(fc.property(fc.array(number), (values) => {
      const text = JSON.stringify(values);
      expect(floats(text)).toEqual([...Float32Array.from(JSON.parse(text) as (number | null)[], (v) => v ?? Number.NaN)]);
    }), { seed: 20260101, numRuns: 2000 });
  });

  it("settles 1 000 decimals of 17 digits that lie next to a border between two float32 (seed 7)", () => {
    fc.assert(fc.property(fc.float({ noNaN: true, min: 1, max: 100 }), fc.integer({ min: -3, max: 3 }), (value, step) => {
      const next = Math.fround(value * (1 + 2 ** -23));
      const border = (value + next) / 2 + step * 1e-15;
      const text = border.toPrecision(17);
      expect(floats(`[${text}]`)).toEqual([Math.fround(Number(text))]);
    }), { seed: 7, numRuns: 1000 });
  });

  it("keeps −0, takes blanks, exponents and an empty list", () => {
    expect(floats(" [ -0 , 1.5e1,\t-2E-2 ,0.25 ] ")).toEqual([-0, 15, Math.fround(-0.02), 0.25]);
    expect(floats("[]")).toEqual([]);
    expect(floats("[ ]")).toEqual([]);
  });

  it.each(["[01]", "[1.]", "[.5]", "[+1]", "[-]", "[1e]", "[1,]", "[,1]", "[1 2]", "[1", "[nul]", "[NaN]", '["1"]', "[1e39]", "[[1]]", "{}", ""])("answers no to %s", (text) => {
    expect(floats(text)).toBeNull();
  });

  it("skips any plain value as JSON.parse would, and nothing that JSON.parse refuses (seed 11, 1 000 values)", () => {
    const skip = (text: string): boolean => {
      const scan = new JsonScan().at(bytesOf(text), 0);
      const isTaken = scan.skip();
      scan.peek();
      return isTaken && scan.pos === new TextEncoder().encode(text).length;
    };
    fc.assert(fc.property(fc.jsonValue({ maxDepth: 4 }), (value) => {
      const text = JSON.stringify(value);
      expect(skip(text)).toBe(!text.includes("\\"));
    }), { seed: 11, numRuns: 1000 });
    for (const text of ["{", '{"a"}', '{"a":}', '{"a":1,}', "[1,]", "tru", '"a', "{a:1}", "-", "1.", `${"[".repeat(200)}${"]".repeat(200)}`]) expect(skip(text)).toBe(false);
  });
});
