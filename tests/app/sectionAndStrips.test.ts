import { describe, expect, it } from "vitest";
import { beadOutlinePath, sectionScale, sectionXPx, sectionYPx } from "../../app/runs/[id]/sectionGeometry.ts";
import { numberRows, plusMinus, readingWords } from "../../app/runs/[id]/stationAt.ts";
import type { Station } from "../../app/runs/[id]/stationAt.ts";
import { bandPath, levelPath, runsOf, spaced, stripScale, yPx } from "../../app/runs/[id]/stripGeometry.ts";
import { madeLimits } from "../support/madeResult.ts";

const station: Station = {
  strand: 2, attempt: 1, sMm: 4.5, laid: true, plannedWidthMm: 1.2, plannedHeightMm: 0.6, plannedAreaMm2: 0.681, widthMm: 1.153, heightMm: 0.588, areaMm2: 0.642, offsetMm: -0.034, areaRatio: 0.943,
  uWidthMm: 0.021, uHeightMm: 0.0062, uAreaMm2: 0.0083, uOffsetMm: 0.012, coverage: 0.97, support: "measured", ageS: 0.61, verdict: "inBand", proven: true, limits: madeLimits(1.2, 0.6),
};

describe("the section", () => {
  it("draws to one scale, left of travel left: +0.4 mm stands left of the path by 0.4 mm of px", () => {
    const scale = sectionScale([{ widthMm: 1.2, heightMm: 0.6, offsetMm: 0 }, { widthMm: 1, heightMm: 0.5, offsetMm: 0.4 }]);
    expect(sectionXPx(scale, 0) - sectionXPx(scale, 0.4)).toBeCloseTo(0.4 * scale.pxPerMm, 9);
    expect(scale.baseYPx - sectionYPx(scale, 0.6)).toBeCloseTo(0.6 * scale.pxPerMm, 9);
  });

  it("a segment 1.4 mm wide and 0.5 mm high spans its chord and reaches its height", () => {
    const bead = { widthMm: 1.4, heightMm: 0.5, offsetMm: 0 };
    const scale = sectionScale([bead]);
    const points = beadOutlinePath(scale, "segment", bead).slice(1).split("L").map((point) => point.split(" ").map(Number) as [number, number]);
    const xs = points.map(([x]) => x);
    expect(Math.max(...xs) - Math.min(...xs)).toBeCloseTo(1.4 * scale.pxPerMm, 0);
    expect(Math.min(...points.map(([, y]) => y))).toBeCloseTo(sectionYPx(scale, 0.5), 0);
  });

  it("a bead measured narrower than high is drawn, not refused", () => {
    const bead = { widthMm: 0.3, heightMm: 0.7, offsetMm: 0.1 };
    expect(beadOutlinePath(sectionScale([bead]), "stadium", bead)).not.toContain("NaN");
  });
});

describe("a station in numbers", () => {
  it("two digits, three where u is under 0.01; a dash where nothing was measured", () => {
    expect(plusMinus(1.153, 0.021)).toBe("1.15 ± 0.02");
    expect(plusMinus(0.588, 0.0062)).toBe("0.588 ± 0.006");
    expect(plusMinus(-0.034, 0.012)).toBe("−0.03 ± 0.01");
    expect(plusMinus(null, 0.01)).toBe("–");
  });

  it("limits are absolute: width 1.2 mm ± 10 % and ± 20 %", () => {
    expect(numberRows(station)[0]).toEqual({ name: "width, mm", planned: "1.20", measured: "1.15 ± 0.02", watch: "1.08–1.32", act: "0.96–1.44" });
    expect(numberRows(station)[2]).toMatchObject({ watch: "0.61–0.75", act: "0.54–0.85" });
  });

  it("says what the reading rests on, and that there is none", () => {
    expect(readingWords(station)).toBe("area ratio 0.94 · coverage 0.97 · on a support that was seen · read 0.6 s after laying");
    expect(readingWords({ ...station, areaRatio: null })).toBe("Laid, and never seen well enough to measure.");
    expect(readingWords({ ...station, areaRatio: null, laid: false })).toBe("Not laid.");
    expect(readingWords({ ...station, widthMm: null })).toContain("a flank was not seen, so no width");
  });
});

describe("strips", () => {
  it("show the act limits with room, and widen for values up to twice the limits' distance beyond", () => {
    const plain = stripScale([[0.8, 1.25]], [1, null, 1.1], 50);
    expect([plain.low, plain.high]).toEqual([0.8 - 0.18 * 0.45, 1.25 + 0.18 * 0.45]);
    expect(stripScale([[0.8, 1.25]], [0.02], 50).low).toBe(0.02);
    expect(stripScale([[0.8, 1.25]], [-7], 50).low).toBeCloseTo(0.8 - 0.9, 9);
    expect(yPx(plain, plain.high)).toBe(0);
    expect(yPx(plain, plain.low)).toBeCloseTo(50, 9);
  });

  it("nothing is drawn across a null", () => {
    expect(runsOf([1, 2, null, 3, null, null, 4, 5])).toEqual([[0, 2], [3, 4], [6, 8]]);
  });

  it("labels 12 px apart stand, nearer ones give way to those before them", () => {
    const scale = { low: 0, high: 100, heightPx: 100 };
    expect(spaced([50, 40, 62, 20], scale, 12)).toEqual([50, 62, 20]);
  });

  it("lines and bands of none are empty, a lone point is a short stroke", () => {
    expect([levelPath([], []), bandPath([], [], [])]).toEqual(["", ""]);
    expect(levelPath([5], [7])).toBe("M3.5 7.0h3");
    expect(bandPath([1, 2], [9, 8], [3, 4])).toBe("M1.0 3.0L2.0 4.0L2.0 8.0L1.0 9.0Z");
  });
});
