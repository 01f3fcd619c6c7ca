import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isBrokenOffJson } from "../../lib/sensing/jsonPrefix.ts";

describe("a JSON line that broke off", () => {
  it("is known at every cut of an object, and its whole is not one (seed 3, 300 objects)", () => {
    fc.assert(fc.property(fc.dictionary(fc.string(), fc.jsonValue({ maxDepth: 2 })), (object) => {
      const text = JSON.stringify(object);
      const known = Array.from({ length: text.length + 1 }, (_, cut) => isBrokenOffJson(text.slice(0, cut)));
      expect(known.indexOf(false)).toBe(text.length);
    }), { seed: 3, numRuns: 300 });
  });

  it.each(["not json", '{"a":1]', '{"a" 1', "{a", "[1 2", '{"a":01', '{"a":1.x', "nulx", "[,", "{1", "[".repeat(2000)])("is not %s", (text) => {
    expect(isBrokenOffJson(text)).toBe(false);
  });
});
