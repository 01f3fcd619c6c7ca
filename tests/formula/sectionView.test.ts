import { describe, expect, it } from "vitest";
import { countedAreaPx, cutSupportPx, cutWords, pointMarks, supportAtMm, usedPieces } from "../../lib/formula/cutView.ts";
import { beadOutlinePx, pathText, sectionScale, sectionXPx, sectionYPx } from "../../lib/formula/sectionView.ts";
import type { SectionCut } from "../../lib/model/sectionCut.ts";

describe("the section", () => {
  it("draws to one scale, left of travel left: +0.4 mm stands left of the path by 0.4 mm of px", () => {
    const scale = sectionScale([{ widthMm: 1.2, heightMm: 0.6, offsetMm: 0 }, { widthMm: 1, heightMm: 0.5, offsetMm: 0.4 }]);
    expect(sectionXPx(scale, 0) - sectionXPx(scale, 0.4)).toBeCloseTo(0.4 * scale.pxPerMm, 9);
    expect(scale.baseYPx - sectionYPx(scale, 0.6)).toBeCloseTo(0.6 * scale.pxPerMm, 9);
  });

  it("a segment 1.4 mm wide and 0.5 mm high spans its chord and reaches its height", () => {
    const bead = { widthMm: 1.4, heightMm: 0.5, offsetMm: 0 };
    const scale = sectionScale([bead]);
    const points = beadOutlinePx(scale, "segment", bead), xs = points.filter((_, i) => i % 2 === 0), ys = points.filter((_, i) => i % 2 === 1);
    expect(Math.max(...xs) - Math.min(...xs)).toBeCloseTo(1.4 * scale.pxPerMm, 9);
    expect(Math.min(...ys)).toBeCloseTo(sectionYPx(scale, 0.5), 9);
  });

  it("a bead measured narrower than high is drawn, not refused", () => {
    const bead = { widthMm: 0.3, heightMm: 0.7, offsetMm: 0.1 };
    expect(beadOutlinePx(sectionScale([bead]), "stadium", bead).every(Number.isFinite)).toBe(true);
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
    const xs = countedAreaPx(scale, cut).flat().filter((_, i) => i % 2 === 0);
    expect(Math.max(...xs)).toBeLessThanOrEqual(sectionXPx(scale, -0.5));
    expect(countedAreaPx(scale, cut).map(pathText).join("")).toContain(`${sectionXPx(scale, 0.1).toFixed(1)} ${sectionYPx(scale, supportAtMm(cut, 0.1)).toFixed(1)}`);
  });

  it("a hole of ten spacings ends the line, a step of one does not", () => {
    const points = [0, 0.1, 0.2, 1.2, 1.3].map((bMm) => ({ bMm, nMm: 0.4, used: true }));
    expect(usedPieces({ points }).map((piece) => piece.length)).toEqual([3, 2]);
  });

  it("the support is wavy within 1.4 px of where it lies, and none is drawn of none", () => {
    const ys = cutSupportPx(scale, cut).filter((_, i) => i % 2 === 1);
    ys.forEach((y, i) => expect(Math.abs(y - sectionYPx(scale, cut.support[i]?.nMm as number))).toBeLessThanOrEqual(1.45));
    expect(pathText(cutSupportPx(scale, { support: [] }))).toBe("");
  });

  it("says which profile, how far beside the station, and how many points counted", () => {
    expect(cutWords(cut)).toBe("profile 41 of profiler-1, 0.12 mm before it · dots: 4 points used · crosses: 1 not used");
    expect(cutWords({ ...cut, alongMm: 0, usedCount: 900 })).toBe("profile 41 of profiler-1, at the station · dots: 900 points used · crosses: 1 not used, 5 shown");
  });
});
