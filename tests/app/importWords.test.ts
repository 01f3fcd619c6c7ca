import { describe, expect, it } from "vitest";
import { placeRows, spokenWords, wordsOf } from "../../app/import/words.ts";
import type { ImportProblem, ImportState } from "../../lib/model/importState.ts";

const state: ImportState = {
  importId: "7", offer: { kind: "folder", name: "block 12", fileCount: 6, byteCount: 40_100_000 }, step: "receiving", receivedFileCount: 3, receivedByteCount: 12_400_000,
  unpackedFileCount: 0, unpackedByteCount: 0, readFraction: 0, profileCount: 0, measuredUntilS: null, problem: null, runId: null, isNew: null,
};
const at = (change: Partial<ImportState>) => wordsOf({ phase: "told", state: { ...state, ...change } });
const spoken = (change: Partial<ImportState>): string => spokenWords({ phase: "told", state: { ...state, ...change } });
const failed = (problem: ImportProblem) => at({ step: "failed", problem });

describe("on the way", () => {
  it("3 of 6 files and 12.4 of 40.1 MB are said while they are sent", () => {
    expect(at({})).toEqual({ sentence: "block 12 is being sent.", detail: "3 of 6 files, 12.4 MB of 40.1 MB. Keep this page open until all of it is there." });
  });

  it("each step has its sentence and its numbers", () => {
    expect(at({ step: "waiting" }).sentence).toBe("block 12 waits its turn.");
    expect(at({ step: "unpacking", unpackedFileCount: 1, unpackedByteCount: 3800 }).detail).toBe("1 file, 3.80 kB so far.");
    expect(at({ step: "measuring", readFraction: 0.456 }).detail).toContain("45 % is read and copied");
    expect(at({ step: "measuring", readFraction: 1, profileCount: 1204, measuredUntilS: 12.44 }).detail).toContain("1204 profiles so far, up to 12.4 s of the recording.");
  });

  it("a screen reader hears a step once, and then each quarter", () => {
    expect(spoken({ receivedByteCount: 0 })).toBe("block 12 is being sent.");
    expect(spoken({ receivedByteCount: 10_024_999 })).toBe("block 12 is being sent.");
    expect(spoken({ receivedByteCount: 10_025_000 })).toBe("25 % is sent.");
    expect(spoken({ receivedByteCount: 12_400_000 })).toBe("25 % is sent.");
    expect(spoken({ receivedByteCount: 40_100_000 })).toBe("100 % is sent.");
    expect(spoken({ step: "measuring", profileCount: 7, measuredUntilS: 1 })).toBe("block 12 is being measured.");
    expect(spokenWords({ phase: "choosing" })).toBe("");
  });
});

describe("at the end", () => {
  it("new, here already, cancelled and a bug are four sentences", () => {
    const over = (change: Partial<ImportState>): string => at(change).sentence;
    expect([over({ step: "done", isNew: true }), over({ step: "done", isNew: false }), over({ step: "cancelled" }), over({ step: "failed" })]).toEqual(["block 12 is in.", "block 12 was here already.", "block 12 was cancelled.", "block 12 was not brought in."]);
  });

  it("a wrong line is named in the sentence, expectation and finding under it", () => {
    expect(failed({ code: "plan.badNumber", message: "expected a number, got \"six\"", place: { file: "plan.csv", line: 7, key: "x_mm" } })).toEqual({
      sentence: "plan.csv is not right at line 7: block 12 was not brought in.", detail: "Expected a number, got \"six\". Nothing of the run is kept.",
    });
    expect(failed({ code: "sensing.timeBack", message: "expected later", place: { file: "profiles.arrow", message: 3, row: 12 } }).sentence).toBe("profiles.arrow is not right at message 3: block 12 was not brought in.");
  });

  it("where no file is to blame, or the chosen one itself, none is named before", () => {
    for (const place of [{}, { file: "block 12" }]) expect(failed({ code: "source.diskFull", message: "expected room", place }).sentence).toBe("block 12 was not brought in.");
  });

  it("the table of the place holds what is known, row 0 included", () => {
    expect(placeRows({ code: "sensing.badNumber", message: "", place: { file: "a.arrow", message: 2, row: 0, key: "zMm" } })).toEqual([["file", "a.arrow"], ["message", "2"], ["row", "0"], ["key", "zMm"]]);
  });
});
