import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { lineAt, nulLine, parseDecimal } from "../../lib/base/text.ts";

describe("parseDecimal", () => {
  it.each([["12", 12], [" -0.5 ", -0.5], ["+3.", 3], [".25", 0.25], ["1e-3", 0.001], ["6.02E+23", 6.02e23], ["0", 0]])("%j is %d", (text, value) => {
    expect(parseDecimal(text)).toBe(value);
  });

  it.each(["", "  ", "0x1F", "Infinity", "-Infinity", "NaN", "1e999", "1,5", "12mm", "1 2", "--3", ".", "e5", "1_000"])("%j is no finite decimal number: NaN", (text) => {
    expect(parseDecimal(text)).toBeNaN();
  });

  it("reads back every finite number that JavaScript writes, to the last bit (fast-check, seed 61)", () => {
    fc.assert(fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => { expect(parseDecimal(String(value))).toBe(Number(String(value))); }), { seed: 61, numRuns: 500 });
  });
});

describe("lines of a text", () => {
  it("a NUL on the third line is found there; none gives null", () => {
    expect(nulLine("a\nb\r\nc\0d\n")).toBe(3);
    expect(nulLine("a\nb\n")).toBeNull();
    expect(nulLine("\0")).toBe(1);
  });

  it("a line break belongs to the line that it ends", () => {
    const text = "ab\ncd\n";
    expect([0, 2, 3, 5, 6].map((index) => lineAt(text, index))).toEqual([1, 1, 2, 2, 3]);
  });
});
