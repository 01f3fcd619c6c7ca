import { describe, expect, it } from "vitest";
import { reportProgress } from "../../lib/command/progress.ts";

describe("progress", () => {
  it("is silent for 999 ms, then says one line a second at most", () => {
    let nowMs = 5000;
    const err: string[] = [];
    const report = reportProgress({ out: async () => undefined, err: (line) => { err.push(line); }, nowMs: () => nowMs });
    for (const [atMs, words] of [[5999, "early"], [6000, "first"], [6500, "between"], [6999, "just under"], [7000, "second"]] as const) {
      nowMs = atMs;
      report(() => words);
    }
    expect(err).toEqual(["first", "second"]);
  });
});
