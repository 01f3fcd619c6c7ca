import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { HistoryReading } from "../../lib/model/history.ts";
import { packCut, type SectionCut } from "../../lib/model/sectionCut.ts";
import { readCut, readHistory, writeCuts, writeHistory } from "../../lib/store/history.ts";
import { tempStore, type TempStore } from "../support/tempStore.ts";

let temp: TempStore;
beforeEach(() => {
  temp = tempStore();
  // one result to hang them on, its own rows left empty
  temp.store.db.pragma("foreign_keys = OFF");
});
afterEach(() => temp.remove());

const reading = (change: Partial<HistoryReading>): HistoryReading => ({
  layer: 2, strand: 5, attempt: 1, stationIndex: 17, ordinal: 1, device: "profiler-1", seq: 311, tS: 40.25, ageS: 1.5, good: true, stood: true,
  widthMm: 1.02, heightMm: 0.47, areaMm2: 0.46, offsetMm: -0.03, uWidthMm: 0.012, uHeightMm: 0.004, uAreaMm2: 0.006, uOffsetMm: 0.007,
  areaRatio: 0.972, coverage: 0.93, support: "spanned", sagMm: 0.031, verdict: "watch", proven: false, ...change,
});
const cut: SectionCut = {
  layer: 2, strand: 5, attempt: 1, stationIndex: 17, device: "profiler-2", seq: 907, tS: 41.75, alongMm: -0.125, slant: { perB: 0.1, perN: -0.2 }, usedCount: 2, notUsedCount: 1, crownMm: 0.471,
  points: [{ bMm: -0.4, nMm: 0.31, used: true }, { bMm: 0.1, nMm: 1.9, used: false }, { bMm: 0.2, nMm: 0.48, used: true }],
  support: [{ bMm: -0.5, nMm: 0.011, kind: "measured" }, { bMm: 0, nMm: 0, kind: "spanned" }, { bMm: 0.5, nMm: -0.02, kind: "planned" }],
  flanks: { rightMm: -0.513, leftMm: null }, window: { rightMm: -0.8, leftMm: 0.75 },
};

describe("readings with their history", () => {
  it("come back as they were written, oldest first, null where nothing was seen", () => {
    const second = reading({ ordinal: 2, seq: 340, tS: 44.5, ageS: null, widthMm: null, uWidthMm: null, sagMm: null, support: "planned", verdict: "unmeasured", good: false, stood: false });
    writeHistory(temp.store.db, "r1", [second, reading({})]);
    expect(readHistory(temp.store.db, "r1", 2, 5, 1, 17)).toEqual({ count: 2, readings: [reading({}), second] });
  });

  it("count is how many there were, the newest one's ordinal: of 31 three are kept", () => {
    writeHistory(temp.store.db, "r1", [1, 30, 31].map((ordinal) => reading({ ordinal })));
    const { count, readings } = readHistory(temp.store.db, "r1", 2, 5, 1, 17);
    expect([count, readings.length]).toEqual([31, 3]);
  });

  it("are of one result, layer, strand, attempt and station alone; where there were none: count 0", () => {
    writeHistory(temp.store.db, "r1", [reading({}), reading({ attempt: 2, seq: 5 }), reading({ stationIndex: 18, seq: 6 }), reading({ strand: 6, seq: 7 })]);
    writeHistory(temp.store.db, "r2", [reading({ seq: 8 })]);
    const seqs = (...place: [string, number, number, number, number]): number[] => readHistory(temp.store.db, ...place).readings.map((r) => r.seq);
    expect([seqs("r1", 2, 5, 1, 17), seqs("r1", 2, 5, 2, 17), seqs("r1", 2, 5, 1, 18), seqs("r1", 2, 6, 1, 17), seqs("r2", 2, 5, 1, 17)]).toEqual([[311], [5], [6], [7], [8]]);
    expect(readHistory(temp.store.db, "r3", 2, 5, 1, 17)).toEqual({ count: 0, readings: [] });
  });

  it("belong to a result: with foreign keys on, one without it is refused", () => {
    temp.store.db.pragma("foreign_keys = ON");
    expect(() => { writeHistory(temp.store.db, "nowhere", [reading({})]); }).toThrow("FOREIGN KEY");
    expect(() => { writeCuts(temp.store.db, "nowhere", [packCut(cut)]); }).toThrow("FOREIGN KEY");
  });
});

describe("sections", () => {
  it("come back as they were written; null at another station, attempt or result", () => {
    writeCuts(temp.store.db, "r1", [packCut(cut)]);
    expect(readCut(temp.store.db, "r1", 2, 5, 1, 17)).toEqual(cut);
    expect([readCut(temp.store.db, "r1", 2, 5, 1, 18), readCut(temp.store.db, "r1", 2, 5, 2, 17), readCut(temp.store.db, "r2", 2, 5, 1, 17)]).toEqual([null, null, null]);
  });
});
