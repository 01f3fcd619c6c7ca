import { describe, expect, it } from "vitest";
import { RULE_WORDS, RUN_RULES, ruleHits } from "../../lib/formula/runRules.ts";
import { RULE_SEQUENCES } from "../support/nist.ts";

const same = (count: number, value: number): number[] => Array.from({ length: count }, () => value);

describe("run rules (Nelson 1984, Western Electric, from memory; places derived)", () => {
  it.each(RULE_SEQUENCES.map(({ z, first }) => ({ z, first, words: `${z.length} values from ${z.slice(0, 3).join(" ")}` })))("$words: $first", ({ z, first }) => {
    const found: Record<string, number> = {};
    for (const { rule, at } of ruleHits(z)) found[rule] ??= at + 1;
    expect(found).toEqual(first);
  });

  it("the mirrored sequence meets the same rules at the same places", () => {
    for (const { z } of RULE_SEQUENCES) expect(ruleHits(z.map((each) => -each))).toEqual(ruleHits(z));
  });

  it("what goes on is met again: ten values on one side meet Nelson 2 at the 9th and at the 10th", () => {
    expect(ruleHits(same(10, 0.2), ["N2"])).toEqual([{ rule: "N2", at: 8 }, { rule: "N2", at: 9 }]);
  });

  it("just short of each count nothing is met: 8, 5, 13, 14 and 7 values", () => {
    const up = [1, 2, 3, 4, 5].map((each) => each / 10), turns = (n: number, size: number): number[] => Array.from({ length: n }, (_, i) => (i % 2 === 0 ? size : -size));
    expect([ruleHits(same(8, 0.1), ["N2"]), ruleHits(up, ["N3"]), ruleHits(turns(13, 0.4), ["N4"]), ruleHits(turns(14, 0.5), ["N7"]), ruleHits(turns(7, 1.2), ["N8"])]).toEqual([[], [], [], [], []]);
  });

  it("says each in words", () => {
    expect(RUN_RULES.map((rule) => RULE_WORDS[rule]).every((words) => words.length > 20)).toBe(true);
  });
});
