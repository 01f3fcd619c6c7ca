import { describe, expect, it } from "vitest";
import { beadOutlinePath, sectionScale, sectionXPx, sectionYPx } from "../../app/runs/[id]/sectionGeometry.ts";
import { numberRows, plusMinus, readingWords } from "../../app/runs/[id]/stationAt.ts";
import type { Station } from "../../app/runs/[id]/stationAt.ts";
import { countedAreaPath, cutSupportPath, cutWords, pointMarks, supportAtMm, usedPieces } from "../../app/runs/[id]/cutGeometry.ts";
import type { SectionCut } from "../../lib/model/sectionCut.ts";
import { madeLimits } from "../support/madeResult.ts";

const station: Station = {
  layer: 1, strand: 2, index: 9, attempt: 1, sMm: 4.5, sagMm: null, laid: true, plannedWidthMm: 1.2, plannedHeightMm: 0.6, plannedAreaMm2: 0.681, widthMm: 1.153, heightMm: 0.588, areaMm2: 0.642, offsetMm: -0.034, areaRatio: 0.943,
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

const cut: SectionCut = {
  layer: 1, strand: 2, attempt: 1, stationIndex: 9, device: "profiler-1", seq: 41, tS: 3.5, alongMm: -0.12, slant: { perB: 0.1, perN: -0.2 }, usedCount: 4, notUsedCount: 1, crownMm: 0.58,
  points: [{ bMm: -0.6, nMm: 0.1, used: true }, { bMm: -0.3, nMm: 0.5, used: true }, { bMm: 0, nMm: 0.9, used: false }, { bMm: 0.1, nMm: 0.6, used: true }, { bMm: 0.5, nMm: 0.2, used: true }],
  support: [{ bMm: -1, nMm: 0.1, kind: "measured" }, { bMm: 1, nMm: -0.1, kind: "measured" }], flanks: { rightMm: -0.58, leftMm: 0.55 }, window: { rightMm: -0.5, leftMm: 0.9 },
};

describe("the section as a profile saw it", () => {
  const scale = { pxPerMm: 100, baseYPx: 152 };

  it("the support between two places at −1 and +1 mm is 0.05 mm high at −0.5 mm, and stays at its ends beyond them", () => {
    expect(supportAtMm(cut, -0.5)).toBeCloseTo(0.05, 9);
    expect([supportAtMm(cut, -3), supportAtMm(cut, 3), supportAtMm({ support: [] }, 0)]).toEqual([0.1, -0.1, 0]);
  });

  it("four used points are dots and the one that was not is a cross", () => {
    const marks = pointMarks(scale, cut);
    expect([marks.used.match(/M/g)?.length, marks.rejected.match(/M/g)?.length]).toEqual([4, 1]);
  });

  it("the counted area lies between the line and the support, inside the window: nothing right of −0.5 mm", () => {
    const xs = [...countedAreaPath(scale, cut).matchAll(/(-?[\d.]+) -?[\d.]+/g)].map((match) => Number(match[1]));
    expect(Math.max(...xs)).toBeLessThanOrEqual(sectionXPx(scale, -0.5));
    expect(countedAreaPath(scale, cut)).toContain(`${sectionXPx(scale, 0.1).toFixed(1)} ${sectionYPx(scale, supportAtMm(cut, 0.1)).toFixed(1)}`);
  });

  it("a hole of ten spacings ends the line, a step of one does not", () => {
    const points = [0, 0.1, 0.2, 1.2, 1.3].map((bMm) => ({ bMm, nMm: 0.4, used: true }));
    expect(usedPieces({ points }).map((piece) => piece.length)).toEqual([3, 2]);
  });

  it("the support is wavy within 1.4 px of where it lies, and none is drawn of none", () => {
    const ys = [...cutSupportPath(scale, cut).matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map((match) => Number(match[2]));
    ys.forEach((y, i) => expect(Math.abs(y - sectionYPx(scale, cut.support[i]?.nMm as number))).toBeLessThanOrEqual(1.45));
    expect(cutSupportPath(scale, { support: [] })).toBe("");
  });

  it("says which profile, how far beside the station, and how many points counted", () => {
    expect(cutWords(cut)).toBe("profile 41 of profiler-1, 0.12 mm before it · dots: 4 points used · crosses: 1 not used");
    expect(cutWords({ ...cut, alongMm: 0, usedCount: 900 })).toBe("profile 41 of profiler-1, at the station · dots: 900 points used · crosses: 1 not used, 5 shown");
  });
});
