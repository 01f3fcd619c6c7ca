import { describe, expect, it } from "vitest";
import { GUTTER_LEFT_PX, GUTTER_RIGHT_PX, axisTicks, laneScale, mostZoom, nearestStation, scaleWords, xPx } from "../../app/runs/[id]/laneGeometry.ts";
import type { LaneScale } from "../../app/runs/[id]/laneGeometry.ts";
import { pathPen } from "../../lib/formula/laneEdges.ts";
import { stationsInView, traceBody, traceCamera, traceHidden, traceMeasured, tracePlanned } from "../../app/runs/[id]/laneTrace.ts";
import type { MadeAt } from "../support/madeStrand.ts";
import { madeStrand } from "../support/madeStrand.ts";

const scale: LaneScale = { widthPx: 500, pitchPx: 40, pxPerMm: 10, acrossPxPerMm: 8, pathPx: 12, basePx: 37 };
const view = { scale, topPx: 0, leftPx: 0, viewPx: 5000 };

/** Path text of one trace over made stations. */
function traced(trace: typeof traceBody, stations: readonly MadeAt[], where = view): string {
  const pen = pathPen();
  trace(pen, madeStrand(stations), where);
  return pen.text();
}

describe("scale of the lanes", () => {
  it("the longest of two strands, 30 mm, fills the width between the gutters, and four times it at zoom 4", () => {
    const strands = [madeStrand([{ s: 0 }, { s: 20 }]), madeStrand([{ s: 0 }, { s: 30 }])];
    expect(laneScale(strands, 976).pxPerMm).toBeCloseTo((976 - GUTTER_LEFT_PX - GUTTER_RIGHT_PX) / 30, 9);
    expect(xPx(laneScale(strands, 976), 30)).toBeCloseTo(976 - GUTTER_RIGHT_PX, 9);
    expect(laneScale(strands, 976, 4).pxPerMm).toBeCloseTo(4 * laneScale(strands, 976).pxPerMm, 9);
  });

  it("no zoom goes beyond 400 px a mm", () => {
    const strands = [madeStrand([{ s: 0 }, { s: 30 }])];
    expect(laneScale(strands, 976, 1e6).pxPerMm).toBe(400);
    expect(laneScale(strands, 976).pxPerMm * mostZoom(strands, 976)).toBeCloseTo(400, 9);
  });

  it("a bead of 2 × 0.7 mm fits its lane from above and from the side, and says how much it is magnified", () => {
    const long = laneScale([madeStrand([{ s: 0 }, { s: 300 }])], 976);
    expect(long.pathPx + long.acrossPxPerMm).toBeLessThan((long.basePx as number) - 0.7 * long.acrossPxPerMm);
    expect(scaleWords(long)).toBe("widths and heights drawn 4.9 times the scale of lengths");
    expect(scaleWords(laneScale([madeStrand([{ s: 0 }, { s: 65 }])], 976))).toBe("lengths, widths and heights to one scale");
    const low = laneScale([madeStrand([{ s: 0 }, { s: 65 }])], 976, 1, { aimPx: 280, leastPitchPx: 26, mostPx: 300, hasSide: false });
    expect([low.basePx, low.pathPx, low.pitchPx]).toEqual([null, 42, 84]); // from above alone: the path is the lane's middle
    expect(scaleWords(low)).toMatch(/^widths drawn [\d.]+ times the scale of lengths$/);
  });

  it("no strands and strands without stations still have a finite scale", () => {
    for (const strands of [[], [madeStrand([])]]) expect(Object.values(laneScale(strands, 800)).every(Number.isFinite)).toBe(true);
  });
});

describe("what is drawn of a strand", () => {
  const x = (s: number): string => xPx(scale, s).toFixed(1);

  it("nothing where nothing was seen: a hole of two stations leaves two outlines", () => {
    const body = traced(traceBody, [{ s: 0, w: 2, ratio: 1 }, { s: 1, w: 2, ratio: 1 }, { s: 2, verdict: "unmeasured" }, { s: 3, verdict: "unmeasured" }, { s: 4, w: 2, ratio: 1 }, { s: 5, w: 2, ratio: 1 }]);
    expect(body).toBe(`M${x(0)} 4.0L${x(1)} 4.0L${x(1)} 20.0L${x(0)} 20.0ZM${x(4)} 4.0L${x(5)} 4.0L${x(5)} 20.0L${x(4)} 20.0Z`);
  });

  it("no bead in a gap, although its ratio of 0.02 was measured", () => {
    expect(traced(traceBody, [{ s: 0, ratio: 0.02, h: 0.01, verdict: "gap" }, { s: 1, ratio: 0.02, h: 0.01, verdict: "gap" }])).toBe("");
  });

  it("left of travel is up: an offset of +0.5 mm moves a bead of 2.2 mm up by 4 px", () => {
    expect(traced(traceMeasured, [{ s: 0, w: 2.2, ratio: 1, offset: 0.5 }, { s: 1, w: 2.2, ratio: 1, offset: 0.5 }])).toBe(`M${x(0)} -0.8L${x(1)} -0.8M${x(0)} 16.8L${x(1)} 16.8`);
  });

  it("a height of 0.75 mm stands 6 px over the base line", () => {
    expect(traced(traceMeasured, [{ s: 0, ratio: 1, h: 0.75 }, { s: 1, ratio: 1, h: 0.5 }])).toBe(`M${x(0)} 31.0L${x(1)} 33.0`);
    expect(traced(traceBody, [{ s: 0, w: 2, ratio: 1, h: 0.75 }, { s: 1, w: 2, ratio: 1, h: 0.5 }])).toContain(`M${x(0)} 31.0L${x(1)} 33.0L${x(1)} 37.0L${x(0)} 37.0Z`);
  });

  it("a flank that was not seen stands where the area puts it, dashed up to the seen one: ratio 0.8 of 2 mm is 1.6 mm", () => {
    const stations = [{ s: 0, ratio: 0.8 }, { s: 1, w: 2, ratio: 1 }, { s: 2, w: 2, ratio: 1 }];
    expect(traced(traceHidden, stations)).toBe(`M${x(0)} 5.6L${x(1)} 4.0M${x(0)} 18.4L${x(1)} 20.0`);
    expect(traced(traceMeasured, stations)).toBe(`M${x(1)} 4.0L${x(2)} 4.0M${x(1)} 20.0L${x(2)} 20.0`);
  });

  it("what the camera alone saw is as wide as it saw it, 1.6 of 2 mm, else as planned; absent draws nothing", () => {
    const stations = [{ s: 0, camera: "present", cameraW: 1.6 }, { s: 1, camera: "present" }, { s: 2, camera: "absent" }, { s: 3, w: 2, ratio: 1, camera: "present" }] as const;
    expect(traced(traceCamera, stations)).toBe(`M${x(0)} 5.6L${x(1)} 4.0M${x(0)} 18.4L${x(1)} 20.0`);
  });

  it("a lone station is a stroke across", () => {
    expect(traced(traceMeasured, [{ s: 3, w: 2, ratio: 1 }])).toBe(`M${x(3)} 4.0L${x(3)} 20.0`);
  });

  it("the plan is drawn everywhere, 2 mm wide and 0.7 mm high on its base", () => {
    expect(traced(tracePlanned, [{ s: 0 }, { s: 2 }])).toBe(`M${x(0)} 4.0L${x(2)} 4.0M${x(0)} 20.0L${x(2)} 20.0M${x(0)} 31.4L${x(2)} 31.4M${x(0)} 37.0L${x(2)} 37.0`);
  });

  it("of 10 001 stations over 100 mm no more points than the px can show, and the widest of them among these", () => {
    const stations = Array.from({ length: 10_001 }, (_, i) => ({ s: i / 100, w: i === 5003 ? 2.9 : 2, ratio: 1 }));
    const line = traced(traceMeasured, stations);
    expect(line.split("L").length).toBeLessThan(2 * (2 * 1000 / 2 + 4));
    expect(line).toContain(`${x(50.03)} ${(12 - 2.9 / 2 * 8).toFixed(1)}`);
  });

  it("of a view from 200 to 300 px only the stations in it and one on either side are looked at", () => {
    const strand = madeStrand(Array.from({ length: 101 }, (_, i) => ({ s: i })));
    const [from, to] = stationsInView(strand, { ...view, leftPx: 200, viewPx: 100 });
    expect([strand.sMm[from], strand.sMm[to - 1]]).toEqual([15, 26]);
  });
});

describe("places along a strand", () => {
  it("the nearest station of 0, 0.5, 1.2 mm to 0.86 mm is the third, to 0.84 mm the second; none in an empty strand", () => {
    const strand = madeStrand([{ s: 0 }, { s: 0.5 }, { s: 1.2 }]);
    expect([0.86, 0.84, -3, 99].map((sMm) => nearestStation(strand, sMm))).toEqual([2, 1, 0, 2]);
    expect(nearestStation(madeStrand([]), 1)).toBe(-1);
  });

  it("ticks step by 1, 2 or 5 and end at the strand's end without crowding it; a part has its own", () => {
    expect(axisTicks(28, 30, 90)).toEqual([0, 5, 10, 15, 20, 25, 28]);
    expect(axisTicks(25.27, 30, 90)).toEqual([0, 5, 10, 15, 20, 25.27]);
    expect(axisTicks(0.6, 400, 90)).toEqual([0, 0.6]);
    expect(axisTicks(0, 30, 90)).toEqual([0]);
    expect(axisTicks(28, 30, 90, [6, 21])).toEqual([10, 15, 20]);
  });
});
