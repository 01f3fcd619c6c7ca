import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { readPreflight, writePreflight } from "../../lib/store/preflight.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import type { SupportFound } from "../../lib/model/supportFound.ts";
import { judged } from "../support/madePreflight.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { tempStore, type TempStore } from "../support/tempStore.ts";

let temp: TempStore;
beforeEach(() => { temp = tempStore(); });
afterEach(() => temp.remove());

const RESULT = madeResult({ layers: 1, strands: 2, lengthMm: 6, spacingMm: 0.5, widthMm: 0.9, heightMm: 0.4, faults: [] });
const SUPPORT: SupportFound = {
  maps: [{ cellMm: 0.3, nu: 2, nv: 1, overUm: [-12, null], strands: [{ strand: 1, uvMm: [0.1, 0.2] }] }], meanMm: -0.012, p5Mm: -0.013, p95Mm: -0.011, worst: null,
  seenFraction: 0.5, outsideFraction: 0, bandMm: [-0.12, 0.13], limits: { seenFraction: 0.95, outsideFraction: 0.01 }, go: false, because: ["notSeen"],
};

describe("what was known before the print", () => {
  it("comes back as it was written, null where nothing was seen, with and without a support", () => {
    const { db } = temp.store, preflight = judged([{ strand: 1, points: [[0, 0, 0.5], [9, 0, 0.5]] }, { strand: 2, points: [[3, -4, 0.5], [3, 4, 0.5]] }]);
    for (const [number, support] of [[1, SUPPORT], [2, null]] as const) {
      const run = madeRun(number, temp.newId, RESULT);
      writeRun(db, run, () => writePreflight(db, run.resultId, { preflight, support }));
      expect(readPreflight(db, run.resultId)).toEqual({ preflight, support });
    }
  });

  it("is not there for a result without it, and cannot be written for none (foreign key)", () => {
    const { db } = temp.store, run = madeRun(3, temp.newId, RESULT);
    writeRun(db, run);
    expect(readPreflight(db, run.resultId)).toBeNull();
    expect(() => writePreflight(db, temp.newId(), { preflight: judged([{ strand: 1, points: [[0, 0, 0.5], [9, 0, 0.5]] }]), support: null })).toThrow("FOREIGN KEY");
  });
});
