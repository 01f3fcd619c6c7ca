import { describe, expect, it } from "vitest";
import { bench } from "../../lib/command/bench.ts";

describe("bench", () => {
  it("--quick prints the machine and a table with a line for measuring, growth and both readers", async () => {
    let text = "";
    let nowMs = 0;
    const code = await bench(["--quick"], { out: async (t) => { text += t; }, err: () => {}, nowMs: () => (nowMs += 1) });
    expect(code).toBe(0);
    for (const words of ["cores", "plain sums", "last tenth", "reading ndjson", "reading arrow"]) expect(text).toContain(words);
    const counts = [...text.matchAll(/reading \w+, (\d+) messages/g)].map((match) => Number(match[1]));
    expect(counts).toHaveLength(2);
    expect(Math.min(...counts)).toBeGreaterThan(1000); // 20 MB, at most 20 kB a profile of 2 000 points
  });
});
