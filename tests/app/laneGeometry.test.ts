import { describe, expect, it } from "vitest";
import {
  GUTTER_LEFT_PX, GUTTER_RIGHT_PX, axisTicks, bodyPath, flankPath, laneScale, measuredOutlines, nearestStation, plannedPath, scaleWords, xPx,
} from "../../app/runs/[id]/laneGeometry.ts";
import type { SheetStrand } from "../../lib/model/sheet.ts";
import type { Verdict } from "../../lib/model/result.ts";

function strandOf(stations: readonly { s: number; w: number | null; ratio: number | null; offset?: number | null; verdict?: Verdict }[]): SheetStrand {
  const nulls = stations.map(() => null);
  return {
    layer: 1, strand: 3, lengthMm: stations.at(-1)?.s ?? 0, closed: false, attempt: stations.map(() => 1), sMm: stations.map((at) => at.s), laid: stations.map(() => true),
    plannedWidthMm: stations.map(() => 2), plannedHeightMm: stations.map(() => 0.7), plannedAreaMm2: stations.map(() => 1.3), widthMm: stations.map((at) => at.w), heightMm: nulls,
    areaMm2: nulls, offsetMm: stations.map((at) => at.offset ?? null), areaRatio: stations.map((at) => at.ratio), uWidthMm: nulls, uHeightMm: nulls, uAreaMm2: nulls, uOffsetMm: nulls,
    coverage: nulls, support: nulls, ageS: nulls, verdict: stations.map((at) => at.verdict ?? "inBand"), proven: stations.map(() => true), limits: stations.map(() => 0),
  };
}
const scale = { widthPx: 500, pitchPx: 40, pxPerMm: 10, acrossPxPerMm: 8 };

describe("scale of the lanes", () => {
  it("the longest of two strands, 30 mm, fills the width between the gutters", () => {
    const made = laneScale([strandOf([{ s: 0, w: 1, ratio: 1 }, { s: 20, w: 1, ratio: 1 }]), strandOf([{ s: 0, w: 1, ratio: 1 }, { s: 30, w: 1, ratio: 1 }])], 976);
    expect(made.pxPerMm).toBeCloseTo((976 - GUTTER_LEFT_PX - GUTTER_RIGHT_PX) / 30, 9);
    expect(xPx(made, 30)).toBeCloseTo(976 - GUTTER_RIGHT_PX, 9);
  });

  it("widths take half a lane, and share the scale of lengths where that is within a quarter of it", () => {
    const long = laneScale([strandOf([{ s: 0, w: 1, ratio: 1 }, { s: 300, w: 1, ratio: 1 }])], 976);
    expect(long.acrossPxPerMm * 2).toBeCloseTo(long.pitchPx / 2, 9);
    expect(scaleWords(long)).toBe("widths drawn 4.3 times the scale of lengths");
    const near = laneScale([strandOf([{ s: 0, w: 1, ratio: 1 }, { s: 70, w: 1, ratio: 1 }])], 976);
    expect(scaleWords(near)).toBe("widths and lengths to one scale");
  });

  it("no strands and strands without stations still have a finite scale", () => {
    for (const strands of [[], [strandOf([])]]) expect(Object.values(laneScale(strands, 800)).every(Number.isFinite)).toBe(true);
  });
});

describe("what is drawn of a strand", () => {
  it("nothing where nothing was seen: a hole of two stations leaves two outlines", () => {
    const strand = strandOf([{ s: 0, w: 2, ratio: 1 }, { s: 1, w: 2, ratio: 1 }, { s: 2, w: null, ratio: null, verdict: "unmeasured" }, { s: 3, w: null, ratio: null, verdict: "unmeasured" }, { s: 4, w: 2, ratio: 1 }, { s: 5, w: 2, ratio: 1 }]);
    const outlines = measuredOutlines(strand, scale);
    expect(outlines.map((outline) => outline.xPx)).toEqual([[0, 1].map((s) => xPx(scale, s)), [4, 5].map((s) => xPx(scale, s))]);
  });

  it("no bead in a gap, although its ratio of 0.02 was measured", () => {
    expect(measuredOutlines(strandOf([{ s: 0, w: null, ratio: 0.02, verdict: "gap" }]), scale)).toEqual([]);
  });

  it("left of travel is up: an offset of +0.5 mm moves a bead of 2.2 mm up by 4 px", () => {
    const [outline] = measuredOutlines(strandOf([{ s: 0, w: 2.2, ratio: 1, offset: 0.5 }]), scale);
    expect(outline?.upPx[0]).toBeCloseTo(-4 - 8.8, 9);
    expect(outline?.downPx[0]).toBeCloseTo(-4 + 8.8, 9);
  });

  it("a flank that was not seen stands where the area puts it, dashed: ratio 0.8 of 2 mm is 1.6 mm", () => {
    const [outline] = measuredOutlines(strandOf([{ s: 0, w: null, ratio: 0.8 }, { s: 1, w: 2, ratio: 1 }, { s: 2, w: 2, ratio: 1 }]), scale);
    expect(outline?.upPx[0]).toBeCloseTo(-6.4, 9);
    expect(flankPath(outline!, "hidden").match(/M/g)).toHaveLength(2);
    expect(flankPath(outline!, "seen")).toBe("M56.0 -8.0L66.0 -8.0M56.0 8.0L66.0 8.0");
    expect(bodyPath(outline!)).toBe("M46.0 -6.4L56.0 -8.0L66.0 -8.0L66.0 8.0L56.0 8.0L46.0 6.4Z");
  });

  it("a lone station is a stroke across", () => {
    const [outline] = measuredOutlines(strandOf([{ s: 3, w: 2, ratio: 1 }]), scale);
    expect(flankPath(outline!, "seen")).toBe("M76.0 -8.0L76.0 8.0");
    expect(flankPath(outline!, "hidden")).toBe("");
  });

  it("the plan is drawn everywhere, 2 mm wide", () => {
    expect(plannedPath(strandOf([{ s: 0, w: null, ratio: null }, { s: 2, w: null, ratio: null }]), scale)).toBe("M46.0 -8.0L66.0 -8.0M46.0 8.0L66.0 8.0");
    expect(plannedPath(strandOf([]), scale)).toBe("");
  });
});

describe("places along a strand", () => {
  it("the nearest station of 0, 0.5, 1.2 mm to 0.86 mm is the third, to 0.84 mm the second; none in an empty strand", () => {
    const strand = strandOf([{ s: 0, w: 1, ratio: 1 }, { s: 0.5, w: 1, ratio: 1 }, { s: 1.2, w: 1, ratio: 1 }]);
    expect([0.86, 0.84, -3, 99].map((sMm) => nearestStation(strand, sMm))).toEqual([2, 1, 0, 2]);
    expect(nearestStation(strandOf([]), 1)).toBe(-1);
  });

  it("ticks step by 1, 2 or 5 and end at the strand's end without crowding it", () => {
    expect(axisTicks(28, 30, 90)).toEqual([0, 5, 10, 15, 20, 25, 28]);
    expect(axisTicks(25.27, 30, 90)).toEqual([0, 5, 10, 15, 20, 25.27]);
    expect(axisTicks(0.6, 400, 90)).toEqual([0, 0.6]);
    expect(axisTicks(0, 30, 90)).toEqual([0]);
  });
});
