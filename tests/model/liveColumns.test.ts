import { describe, expect, it } from "vitest";
import { withReadings } from "../../lib/model/liveColumns.ts";
import type { LiveReading } from "../../lib/model/liveEvent.ts";
import { VERDICTS } from "../../lib/model/result.ts";
import type { SheetLayer } from "../../lib/model/sheet.ts";
import { madeStrand } from "../support/madeStrand.ts";

const frame = { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] } as const;
const strandOf = (layer: number, strand: number) => madeStrand([{ s: 0 }, { s: 1.5 }, { s: 3 }], { layer, strand });
const layers: readonly SheetLayer[] = [{ layer: 1, frame, frameWords: "", strands: [strandOf(1, 1), strandOf(1, 2)] }, { layer: 2, frame, frameWords: "", strands: [strandOf(2, 1)] }];
const reading: LiveReading = {
  layer: 1, strand: 2, stationIndex: 1, sMm: 1.5, attempt: 2, tS: 7.25, byS: 99.5, ageS: 0.75, uWidthMm: 0.02, uHeightMm: 0.006, uAreaMm2: 0.008, uOffsetMm: 0.01, support: "measured", sagMm: null, widthMm: 1.875, heightMm: null, areaRatio: 0.5, offsetMm: -0.125, coverage: 0.96875, verdict: "under", proven: true,
};
const at = (made: readonly SheetLayer[]) => made[0]?.strands[1];

describe("readings put into columns", () => {
  it("a station has what was read, NaN where a flank was not seen, and its area from the planned 1.3 mm²", () => {
    const strand = at(withReadings(layers, [reading]));
    expect([strand?.attempt[1], strand?.laid[1], strand?.widthMm[1], strand?.areaRatio[1], strand?.offsetMm[1], strand?.coverage[1], strand?.ageS[1], strand?.proven[1]]).toEqual([2, 1, 1.875, 0.5, -0.125, 0.96875, 0.75, 1]);
    expect([strand?.heightMm[1], strand?.widthMm[0]]).toEqual([Number.NaN, Number.NaN]);
    expect(strand?.areaMm2[1]).toBeCloseTo(0.65, 6);
    expect(VERDICTS[strand?.verdict[1] ?? -1]).toBe("under");
  });

  it("strands and layers that nothing was read of are the same objects, and what was there before is not changed", () => {
    const made = withReadings(layers, [reading]);
    expect([made[0]?.strands[0] === layers[0]?.strands[0], made[1] === layers[1], made[0]?.strands[1] === layers[0]?.strands[1]]).toEqual([true, true, false]);
    expect(at(layers)?.areaRatio[1]).toBeNaN();
  });

  it("what was taken off stands no more: nothing measured, nothing laid", () => {
    const strand = at(withReadings(withReadings(layers, [reading]), [{ ...reading, verdict: "removed", areaRatio: 0, widthMm: null, coverage: 0 }]));
    expect([strand?.areaRatio[1], strand?.widthMm[1], strand?.coverage[1], strand?.laid[1]]).toEqual([Number.NaN, Number.NaN, Number.NaN, 0]);
    expect(VERDICTS[strand?.verdict[1] ?? -1]).toBe("removed");
  });

  it("of two readings of a station the later one counts; one beyond the strand's stations, or of a strand that is not there, is left out", () => {
    const made = withReadings(layers, [reading, { ...reading, areaRatio: 0.75 }, { ...reading, stationIndex: 3 }, { ...reading, strand: 9 }]);
    expect(at(made)?.areaRatio[1]).toBe(0.75);
    expect(at(made)?.areaRatio.length).toBe(3);
    expect(made[0]?.strands.length).toBe(2);
  });
});
