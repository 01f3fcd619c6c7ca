import { describe, expect, it } from "vitest";
import { bench } from "../../lib/command/bench.ts";

describe("bench", () => {
  it("--quick prints the machine and a table with a line for measuring, growth and both readers", async () => {
    let text = "";
    let nowMs = 0;
    const code = await bench(["--quick"], { out: async (t) => { text += t; }, err: () => {}, nowMs: () => (nowMs += 1) });
    expect(code).toBe(0);
    for (const words of ["cores", "plain sums", "last tenth", "reading ndjson", "reading arrow"]) expect(text).toContain(words);
  });
});
