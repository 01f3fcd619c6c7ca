import { describe, expect, it } from "vitest";
import { counted, percent, percentAsked, wholeNumber } from "../../lib/report/words.ts";

describe("words for numbers", () => {
  it("counts to twelve in words and on from 13 in digits", () => {
    expect([0, 1, 2, 12, 13].map((count) => counted(count, "act finding"))).toEqual(["no act findings", "one act finding", "two act findings", "twelve act findings", "13 act findings"]);
  });

  it("what is short of the whole never reads as 100.0 %, what is not nothing never as 0.0 %", () => {
    expect(percent(0.9623)).toBe("96.2\u00a0%");
    expect(percent(0.99996)).toBe("99.9\u00a0%");
    expect(percent(1)).toBe("100.0\u00a0%");
    expect(percent(0.00004)).toBe("0.1\u00a0%");
    expect(percent(0)).toBe("0.0\u00a0%");
  });

  it("a limit reads as somebody wrote it: 0.95 as 95 %, 0.985 as 98.5 %", () => {
    expect(percentAsked(0.95)).toBe("95\u00a0%");
    expect(percentAsked(0.985)).toBe("98.5\u00a0%");
  });

  it("groups thousands with a thin space from 1 000 up", () => {
    expect([999, 1362, 1_200_345].map(wholeNumber)).toEqual(["999", "1\u2009362", "1\u2009200\u2009345"]);
  });
});
