import { describe, expect, it } from "vitest";
import { provenTo, resumePlace, resumeRows, type Removed, type ResumeAsk, type StationSeen } from "../../lib/control/resume.ts";
import type { NozzleFacts } from "../../lib/model/liveFacts.ts";
import { madePlan } from "../support/madePlan.ts";

const stations = (...isGood: (boolean | null)[]): StationSeen[] => isGood.map((good, i) => ({ sMm: i * 0.7, isGood: good }));
const nozzle = (change: Partial<NozzleFacts> = {}): NozzleFacts => ({
  layer: 2, strand: 5, sMm: 8.25, tS: 61, isLaying: true, lengthMm: 13, laidToMm: change.sMm ?? 8.25, isLastOfLayer: false, next: { layer: 2, strand: 6, sMm: 0 }, toStrandEndS: 1, toLayerEndS: 2, toPlanEndS: 3, behindMm: null, ...change,
});
const GOOD = stations(true, true, true, null);
const TAKEN: Removed[] = [{ layer: 2, strand: 3, fromMm: 1, toMm: 4 }, { layer: 1, strand: 9, fromMm: 6, toMm: 7 }, { layer: 1, strand: 9, fromMm: 2, toMm: 3.5 }];

describe("how far a strand is proven good", () => {
  it("is up to the last station before the first that is not good or not seen", () => {
    expect(provenTo(stations(true, true, false, true))).toBeCloseTo(0.7, 12);
    expect(provenTo(GOOD)).toBeCloseTo(1.4, 12);
    expect(provenTo(stations(true, true, true, true))).toBeCloseTo(2.1, 12);
  });

  it("is nowhere where its first station is not good, or none was seen", () => {
    expect([provenTo(stations(false, true)), provenTo(stations(null, true)), provenTo([])]).toEqual([null, null, null]);
  });
});

describe("where a print goes on", () => {
  it("takenOff: first with what was taken off, in plan order, whatever the nozzle did since", () => {
    expect(resumePlace(nozzle(), TAKEN, GOOD)).toEqual({ layer: 1, strand: 9, sMm: 2, why: "takenOff", provenToMm: expect.closeTo(1.4, 12) });
    expect(resumePlace(null, TAKEN.slice(0, 1), [])).toMatchObject({ layer: 2, strand: 3, sMm: 1, why: "takenOff", provenToMm: null });
  });

  it("nothingLaid: at the plan's beginning where no progress has come", () => {
    expect(resumePlace(null, [], GOOD)).toEqual({ layer: 1, strand: 1, sMm: 0, why: "nothingLaid", provenToMm: null });
  });

  it("midStrand: where the nozzle stands", () => {
    expect(resumePlace(nozzle(), [], GOOD)).toMatchObject({ layer: 2, strand: 5, sMm: 8.25, why: "midStrand" });
  });

  it("midStrand: also where the cell says that it ended there, short of the strand's end by more than 0.001 mm", () => {
    expect(resumePlace(nozzle({ isLaying: false }), [], GOOD)).toMatchObject({ strand: 5, sMm: 8.25, why: "midStrand" });
    expect(resumePlace(nozzle({ isLaying: false, sMm: 12.9985 }), [], GOOD)).toMatchObject({ strand: 5, why: "midStrand" });
    expect(resumePlace(nozzle({ isLaying: false, sMm: 12.9995 }), [], GOOD)).toMatchObject({ strand: 6, sMm: 0, why: "strandDone" });
  });

  it("a stretch laid again in mid-strand leads to where the paste behind it ends: the strand's end, or where the print had stopped", () => {
    expect(resumePlace(nozzle({ isLaying: false, laidToMm: 13 }), [], GOOD)).toMatchObject({ strand: 6, sMm: 0, why: "strandDone" });
    expect(resumePlace(nozzle({ isLaying: false, laidToMm: 11.5 }), [], GOOD)).toMatchObject({ strand: 5, sMm: 11.5, why: "midStrand" });
  });

  it("strandDone: at the next strand's beginning, also one layer up, and where it was laid in part behind that; at the plan's end nowhere", () => {
    expect(resumePlace(nozzle({ sMm: 13 }), [], GOOD)).toMatchObject({ layer: 2, strand: 6, sMm: 0, why: "strandDone" });
    expect(resumePlace(nozzle({ sMm: 13, isLaying: false, next: { layer: 3, strand: 1, sMm: 2.5 } }), [], GOOD)).toMatchObject({ layer: 3, strand: 1, sMm: 2.5, why: "strandDone" });
    expect(resumePlace(nozzle({ sMm: 13, isLaying: false, next: null }), [], GOOD)).toBeNull();
  });
});

/** Two strands of 10 mm in each of two layers, waypoints every 5 mm. */
const PLAN = madePlan([1, 2].flatMap((layer) => [1, 2].map((strand) => ({ layer, strand, points: [0, 5, 10].map((x) => [x, 3 * strand, 0.5 * layer] as const) }))));
const rows = (ask: Partial<ResumeAsk>) => resumeRows(PLAN, { from: { layer: 1, strand: 2, sMm: 4 }, overlapMm: 1.5, toMm: null, stoppedAt: null, ...ask })
  .map(({ layer, strand, xMm, flowMm3S }) => `${layer}/${strand}@${xMm}${flowMm3S === 0 ? " dry" : ""}`);
const UPPER = ["2/1@0", "2/1@5", "2/1@10", "2/2@0", "2/2@5", "2/2@10"];

describe("the plan's rows from there on", () => {
  it("begin the overlap before the place, on the plan's own waypoints, and go on to its end", () => {
    expect(rows({})).toEqual(["1/2@2.5", "1/2@5", "1/2@10", ...UPPER]);
    expect(rows({ overlapMm: 4.5 })).toEqual(["1/2@0", "1/2@5", "1/2@10", ...UPPER]);
    expect(rows({ from: { layer: 1, strand: 2, sMm: 5.0004 }, overlapMm: 0 })).toEqual(["1/2@5", "1/2@10", ...UPPER]);
  });

  it("after a stretch that was taken off go on where the print had stopped, on a later strand", () => {
    expect(rows({ from: { layer: 1, strand: 1, sMm: 3 }, toMm: 7, stoppedAt: { layer: 2, strand: 1, sMm: 6 } })).toEqual(["1/1@1.5", "1/1@5", "1/1@7", "2/1@6", "2/1@10", ...UPPER.slice(3)]);
    expect(rows({ from: { layer: 1, strand: 1, sMm: 3 }, toMm: 7, stoppedAt: { layer: 2, strand: 1, sMm: 10 } })).toEqual(["1/1@1.5", "1/1@5", "1/1@7", ...UPPER.slice(3)]);
  });

  it("on the same strand lay nothing between the stretch and where it had stopped: from 4 to 8 mm good paste lies", () => {
    expect(rows({ from: { layer: 1, strand: 2, sMm: 2 }, toMm: 4, stoppedAt: { layer: 1, strand: 2, sMm: 8 } })).toEqual(["1/2@0.5", "1/2@4 dry", "1/2@5 dry", "1/2@8", "1/2@10", ...UPPER]);
    expect(rows({ from: { layer: 1, strand: 2, sMm: 6 }, toMm: 8, stoppedAt: { layer: 1, strand: 2, sMm: 8 } })).toEqual(["1/2@4.5", "1/2@5", "1/2@10", ...UPPER]);
    expect(rows({ from: { layer: 1, strand: 2, sMm: 2 }, toMm: 4, stoppedAt: { layer: 1, strand: 2, sMm: 10 } })).toEqual(["1/2@0.5", "1/2@4", ...UPPER]);
  });

  it("of a strand that is not planned there are none", () => {
    expect(() => rows({ from: { layer: 1, strand: 3, sMm: 0 } })).toThrow(RangeError);
  });
});
