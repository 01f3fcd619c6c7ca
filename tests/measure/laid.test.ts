import { describe, expect, it } from "vitest";
import { LaidStrand } from "../../lib/measure/laid.ts";
import type { ProgressEvent } from "../../lib/model/messages.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan } from "../support/madePlan.ts";

const STRAND = buildStations(madePlan([{ strand: 1, points: [[0, 0, 0.5], [4.2, 0, 0.5]] }]), 0.5).strands[0]!; // stations at 0, 0.5 … 4.0, 4.2 mm

/** A strand after rows of [time, s, event]. */
function after(...rows: [number, number, ProgressEvent][]): { laid: LaidStrand; added: ([number, number] | null)[] } {
  const laid = new LaidStrand(STRAND);
  const added = rows.map(([tS, sMm, event]) => laid.progress({ kind: "progress", tS, layer: 1, strand: 1, sMm, event }));
  return { laid, added };
}
const ones = (flags: Uint8Array): number[] => [...flags].flatMap((v, i) => (v === 1 ? [STRAND.sMm[i]!] : []));

describe("progress", () => {
  it("a start lays its own station alone, at its own time", () => {
    const { laid, added } = after([3.5, 0, "start"]);
    expect([ones(laid.laid), laid.laidAtS[0], added]).toEqual([[0], 3.5, [null]]);
    expect(laid.any).toBe(true);
  });

  it("an update lays what was passed, with times interpolated: 0.5 and 1.0 mm at 3 + 2 · 0.5/1.25 and 3 + 2 · 1/1.25 s", () => {
    const { laid, added } = after([3, 0, "start"], [5, 1.25, "update"]);
    expect(ones(laid.laid)).toEqual([0, 0.5, 1]);
    expect([...laid.laidAtS.subarray(0, 4)]).toEqual([3, expect.closeTo(3.8, 12), expect.closeTo(4.6, 12), Number.NaN]);
    expect(added).toEqual([null, [0, 1.25]]);
  });

  it.each([[1.498, false], [1.499, true], [1.5, true]])("the station at 1.5 mm counts as passed at %d mm: %s", (sMm, passed) => {
    expect(after([1, 0, "start"], [2, sMm, "update"]).laid.laid[3] === 1).toBe(passed);
  });

  it("the end lays the strand's last station, 4.2 mm", () => {
    const { laid } = after([1, 0, "start"], [4, 3, "update"], [5.2, 4.2, "end"]);
    expect(ones(laid.laid)).toHaveLength(STRAND.count);
    expect(laid.laidAtS[STRAND.count - 1]).toBeCloseTo(5.2, 12);
  });

  it("a step back lays nothing more and takes nothing away; it goes on from the furthest place, its time from the last row", () => {
    const { laid, added } = after([1, 0, "start"], [2, 1.2, "update"], [3, 0.8, "update"], [4, 1.7, "update"]);
    expect(added).toEqual([null, [0, 1.2], null, [1.2, 1.7]]);
    expect(laid.laidAtS[3]).toBeCloseTo(3 + 0.3 / 0.5, 12);
  });

  it("a start in mid-strand at 2.0 mm leaves what lies before it bare", () => {
    const { laid } = after([1, 2, "start"], [2, 4.2, "end"]);
    expect(ones(laid.laid)).toEqual([2, 2.5, 3, 3.5, 4, expect.closeTo(4.2, 9)]);
    expect([laid.isLaid(1.9), laid.isLaid(2), laid.isLaid(4.2), laid.isLaid(4.3)]).toEqual([false, true, true, false]);
  });

  it("an update without a start begins at 0", () => {
    expect(ones(after([2, 0.6, "update"]).laid.laid)).toEqual([0, 0.5]);
  });

  it("without progress the whole strand is laid at no known time", () => {
    const laid = new LaidStrand(STRAND);
    laid.layWhole();
    expect([ones(laid.laid).length, laid.isLaid(4.2), laid.laidAtS.every(Number.isNaN)]).toEqual([STRAND.count, true, true]);
  });
});

describe("a stretch taken off, and laid again", () => {
  const removed = (): LaidStrand => {
    const { laid } = after([1, 0, "start"], [5, 4.2, "end"]);
    expect(laid.remove(1.5, 2.6)).toEqual([3, 4, 5]);
    return laid;
  };

  it("takes off stations 1.5, 2.0 and 2.5 mm, ends included, and splits what is laid in two", () => {
    const laid = removed();
    expect([ones(laid.removed), ones(laid.laid)]).toEqual([[1.5, 2, 2.5], [0, 0.5, 1, 3, 3.5, 4, expect.closeTo(4.2, 9)]]);
    expect([1.4, 1.5, 2, 2.6, 2.7].map((s) => laid.isLaid(s))).toEqual([true, false, false, false, true]);
    expect(laid.laidAtS[4]).toBeNaN();
  });

  it("a later start opens attempt 2 there, with its own times; the others stay attempt 1 with theirs", () => {
    const laid = removed();
    laid.progress({ kind: "progress", tS: 20, layer: 1, strand: 1, sMm: 1.5, event: "start" });
    laid.progress({ kind: "progress", tS: 22, layer: 1, strand: 1, sMm: 2.6, event: "end" });
    expect([...laid.attempt]).toEqual([1, 1, 1, 2, 2, 2, 1, 1, 1, 1]);
    expect(ones(laid.removed)).toEqual([]);
    expect([laid.laidAtS[2], laid.laidAtS[3], laid.laidAtS[5]]).toEqual([expect.closeTo(1 + 4 / 4.2, 9), 20, expect.closeTo(20 + 2 / 1.1, 9)]);
    expect(laid.isLaid(2)).toBe(true);
  });

  it("a second removal counts on to attempt 3", () => {
    const laid = removed();
    for (const tS of [20, 40]) {
      laid.progress({ kind: "progress", tS, layer: 1, strand: 1, sMm: 1.5, event: "start" });
      laid.progress({ kind: "progress", tS: tS + 2, layer: 1, strand: 1, sMm: 2.6, event: "end" });
      if (tS === 20) laid.remove(2, 2);
    }
    expect([...laid.attempt.subarray(3, 6)]).toEqual([2, 3, 2]);
  });

  it("taking off what was never laid concerns no station", () => {
    const { laid } = after([1, 0, "start"], [2, 1, "update"]);
    expect(laid.remove(2, 3)).toEqual([]);
    expect(ones(laid.removed)).toEqual([]);
  });
});
