import { describe, expect, it } from "vitest";
import { MOST_POINTS, buildSeries, seriesWords, strandAt, strandsOf, thinnedPoints, xOfPlace, yRange } from "../../app/runs/[id]/courseSeries.ts";
import { METRIC_TABLE } from "../../app/runs/[id]/metrics.ts";
import type { Sheet, SheetStrand } from "../../lib/model/sheet.ts";
import { madeLimits } from "../support/madeResult.ts";
import { madeStrand } from "../support/madeStrand.ts";

const first = madeStrand([{ s: 0, ratio: 0.95, uArea: 0.013 }, { s: 5, ratio: 0.7, uArea: 0.026 }, { s: 8, ratio: 1.3, uArea: 0.039 }], { layer: 1, strand: 1 });
const second = madeStrand([{ s: 0, ratio: 1.12 }, { s: 4 }, { s: 6, ratio: 1.01 }], { layer: 2, strand: 1 });
const sheet = {
  limits: [madeLimits(2, 0.7)], findings: [],
  layers: [first, second].map((strand) => ({ layer: strand.layer, strands: [strand], frame: { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] }, frameWords: "" })),
} as unknown as Sheet;
const areaRatio = METRIC_TABLE.areaRatio;
const series = buildSeries(sheet, [first, second], areaRatio, "run");

describe("a quantity along the run", () => {
  it("the second strand begins where the first of 8 mm ends, and layers have their names there", () => {
    expect([...series.xMm]).toEqual([0, 5, 8, 8, 8, 12, 14, 14]);
    expect(series.starts).toEqual([{ xMm: 0, name: "layer 1" }, { xMm: 8, name: "layer 2" }]);
    expect(series.endMm).toBe(14);
  });

  it("carries u of the area over the planned area, and the limits of each station", () => {
    expect(series.high[1] as number - (series.low[1] as number)).toBeCloseTo(2 * 0.026 / 1.3, 6);
    expect([series.watchLow[0], series.watchHigh[0], series.actLow[0], series.actHigh[0]]).toEqual([0.9, 1.1, 0.8, 1.25]);
    const width = buildSeries(sheet, [first], METRIC_TABLE.widthMm, "strand");
    expect(width.actHigh[0]).toBeCloseTo(2.4, 9);
  });

  it("says how many values, from where to where, and how many lie beyond: three of five beyond watch, two of them beyond act", () => {
    expect(seriesWords(series, areaRatio)).toBe("area ratio: 5 values from 0.70 to 1.30, the middle one 1.01. 3 lie beyond the watch limits, 2 of them beyond the act limits.");
    expect(seriesWords(buildSeries(sheet, [first], METRIC_TABLE.sagMm, "strand"), METRIC_TABLE.sagMm)).toBe("No sag over hollows was measured here.");
  });

  it("shows the act limits with room, and values up to twice their distance beyond", () => {
    expect(yRange(series)).toEqual([Math.min(0.8 - 0.18 * 0.45, Math.fround(0.7)), Math.max(1.25 + 0.18 * 0.45, Math.fround(1.3))]);
    expect(yRange(buildSeries(sheet, [madeStrand([{ s: 0, ratio: -7 }])], areaRatio, "strand"))[0]).toBeCloseTo(0.8 - 0.9, 9);
    expect(yRange(buildSeries(sheet, [], areaRatio, "run"))).toEqual([0, 1]);
  });

  it("scopes are the run, one layer, one strand; places lead to lengths and back", () => {
    expect([strandsOf(sheet, "run", { layer: 2, strand: 1, station: 0 }), strandsOf(sheet, "layer", { layer: 2, strand: 1, station: 0 })]).toEqual([[first, second], [second]]);
    expect(xOfPlace([first, second], { layer: 2, strand: 1, station: 2 })).toBe(14);
    expect(xOfPlace([first], { layer: 2, strand: 1, station: 2 })).toBeNull();
    expect(strandAt([first, second], 11)).toEqual({ strand: second, sMm: 3 });
    expect(strandAt([first, second], 15)).toBeNull();
  });
});

describe("points for the chart", () => {
  const long = (hole: (i: number) => boolean): SheetStrand => madeStrand(Array.from({ length: 100_000 }, (_, i) => ({ s: i / 2, ratio: hole(i) ? null : i === 61_803 ? 3.3 : i === 31_415 ? -0.4 : 1 + 0.01 * Math.sin(i) })));

  it("of 100 000 stations at most 2 000 points, the highest and the lowest among them", () => {
    const points = thinnedPoints(...args(long(() => false)));
    expect(points.length).toBeLessThanOrEqual(MOST_POINTS);
    const ys = points.map((point) => point.y as number);
    expect([Math.max(...ys), Math.min(...ys)]).toEqual([Math.fround(3.3), Math.fround(-0.4)]);
  });

  it("the same where every third station is missing: strokes, none of them drawn across a hole of the groups", () => {
    const points = thinnedPoints(...args(long((i) => i % 3 === 1)));
    expect(points.length).toBeLessThanOrEqual(MOST_POINTS);
    const ys = points.flatMap((point) => (point.y === null ? [] : [point.y]));
    expect([Math.max(...ys), Math.min(...ys)]).toEqual([Math.fround(3.3), Math.fround(-0.4)]);
  });

  it("a hole ends the line", () => {
    expect(thinnedPoints(series, series.value).map((point) => point.y === null)).toEqual([false, false, false, true, false, true, false]);
  });

  function args(strand: SheetStrand): Parameters<typeof thinnedPoints> {
    const made = buildSeries(sheet, [strand], areaRatio, "strand");
    return [made, made.value];
  }
});
