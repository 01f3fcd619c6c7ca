import { describe, expect, it } from "vitest";
import { readCommands } from "../../lib/rehearsal/liveCommand.ts";

const read = (...commands: unknown[]) => readCommands(JSON.stringify(commands));

describe("readCommands", () => {
  it("reads the four kinds, in the order of their numbers; what is optional has its default", () => {
    expect(read(
      { n: 4, kind: "flowFactor", factor: 1.08, layer: 2, strand: 3, fromMm: 6.5 }, { n: 3, kind: "abort", reason: "smoke" },
      { n: 2, kind: "resume", layer: 1, strand: 5, sMm: 7.25, overlapMm: 1.5, rows: [{ layer: 1, strand: 5, xMm: 0.1, yMm: 0.2, zMm: 0.3, nx: 0, ny: 0, nz: 1, widthMm: 1.1, heightMm: null, flowMm3S: 0 }] },
      { n: 1, kind: "pause", at: "strandEnd" },
    )).toEqual([
      { kind: "pause", n: 1, at: "strandEnd", retractMm: 0, reason: "" },
      { kind: "resume", n: 2, layer: 1, strand: 5, sMm: 7.25, overlapMm: 1.5, rows: [{ layer: 1, strand: 5, xMm: 0.1, yMm: 0.2, zMm: 0.3, widthMm: 1.1, heightMm: null, speedMmS: null, flowMm3S: 0 }] },
      { kind: "abort", n: 3, reason: "smoke" },
      { kind: "flowFactor", n: 4, factor: 1.08, layer: 2, strand: 3, fromMm: 6.5 },
    ]);
    expect(read({ n: 7, kind: "resume", layer: 1, strand: 2, sMm: 3 })).toEqual([{ kind: "resume", n: 7, layer: 1, strand: 2, sMm: 3, overlapMm: 0, rows: [] }]);
  });

  it.each([
    [{ kind: "pause", at: "soon" }, /pause: at/],
    [{ kind: "pause", at: "now", retractMm: -1 }, /retractMm/],
    [{ kind: "resume", layer: 0, strand: 2, sMm: 3 }, /layer, strand/],
    [{ kind: "resume", layer: 1, strand: 2, sMm: "3" }, /sMm/],
    [{ kind: "resume", layer: 1, strand: 2, sMm: 3, rows: [{ layer: 1 }] }, /rows/],
    [{ kind: "flowFactor", factor: 0, layer: 1, strand: 2, fromMm: 3 }, /factor/],
    [{ kind: "dance" }, /dance/],
  ])("%j is a command that cannot be carried out, and says why", (command, why) => {
    expect(read({ n: 9, ...command })).toEqual([{ kind: "unreadable", n: 9, why: expect.stringMatching(why) }]);
  });

  it("what is no array of numbered commands is none: null", () => {
    expect([readCommands("<html>"), readCommands("{}"), read({ kind: "abort" }), read({ n: 1.5, kind: "abort" }), readCommands("[]")]).toEqual([null, null, null, null, []]);
  });
});
