import { describe, expect, it } from "vitest";
import { buildSheet } from "../../lib/report/buildSheet.ts";
import type { SheetInput } from "../../lib/report/buildSheet.ts";
import { buildThumbnail } from "../../lib/report/thumbnail.ts";
import { valueWords } from "../../lib/report/valueWords.ts";
import type { Finding, StationResult, StretchFinding } from "../../lib/model/result.ts";
import { VERDICTS } from "../../lib/model/result.ts";
import { madeResult } from "../support/madeResult.ts";

const result = madeResult({
  layers: 2, strands: 3, lengthMm: 12, spacingMm: 0.5, widthMm: 1.1, heightMm: 0.6,
  faults: [{ layer: 2, strand: 3, fromMm: 4, toMm: 7, kind: "displacedStrand" }, { layer: 1, strand: 2, fromMm: 8, toMm: 9.5, kind: "gap" }],
});
const stray: Finding = {
  kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2: 1.4, volumeMm3: 0.3, lengthMm: 1.6, position: [5.1, 2.9, 1.2], worst: { metric: "areaMm2", value: 1.4, limit: 0.605 },
};
const input: SheetInput = {
  head: { runId: "r", name: "n", specimen: null, lot: null, materialName: "m", createdAt: "2026-02-03T09:12:00.000Z", rehearsal: false, demo: false, planSha256: "a" },
  resultId: "result", job: null, plan: null, beadShape: "stadium", strands: [1, 2].flatMap((layer) => [1, 2, 3].map((strand) => ({ layer, strand, lengthMm: 12, closed: false }))),
  stations: result.stations, earlierAttempts: [], findings: [...result.findings, stray], frames: [], summary: result.summary,
  acceptance: { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 }, warnings: [],
};
const sheet = buildSheet(input);

describe("a sheet", () => {
  it("unrolls 6 strands of 25 stations; what was not measured is NaN", () => {
    expect(sheet.layers.map((layer) => layer.strands.length)).toEqual([3, 3]);
    const gapped = sheet.layers[0]?.strands[1];
    expect(gapped?.sMm).toHaveLength(25);
    expect(gapped?.widthMm[17]).toBeNaN();
    expect(VERDICTS[gapped?.verdict[17] as number]).toBe("gap");
    expect(gapped?.widthMm[3]).toBeCloseTo(input.stations.find((at) => at.layer === 1 && at.strand === 2 && at.sMm === 1.5)?.measured?.widthMm as number, 4);
  });

  it("keeps one set of limits where all 150 stations share theirs", () => {
    expect(sheet.limits).toHaveLength(1);
    expect(new Set(sheet.layers.flatMap((layer) => layer.strands.flatMap((strand) => [...strand.limits])))).toEqual(new Set([0]));
  });

  it("lists the gap first, then the displaced strand, then the stray, each with its place", () => {
    expect(sheet.findings.map((finding) => [finding.rank, finding.kind, finding.layer, finding.strand])).toEqual([[0, "gap", 1, 2], [1, "displacedStrand", 2, 3], [2, "strayMaterial", 2, 2]]);
    expect(sheet.findings[0]?.sMm).toBeCloseTo(8.75, 0);
  });

  it("puts a body off the path at the station of its layer that lies nearest", () => {
    expect(sheet.findings[2]).toMatchObject({ offPath: true, strand: 2, sMm: 5, whereWords: "by strand 2", rangeWords: "5.0 mm", areaMm2: 1.4 });
  });

  it("a strand without stations is an empty lane, and a run without strands has no layers", () => {
    const bare = buildSheet({ ...input, stations: [], findings: [] });
    expect(bare.layers[1]?.strands[2]?.sMm).toHaveLength(0);
    expect(buildSheet({ ...input, strands: [], stations: [], findings: [] }).layers).toEqual([]);
  });

  it("names a finding by its place in the result, and puts it and every station on the map of its layer", () => {
    expect(sheet.findings.map((finding) => finding.findingIndex)).toEqual([1, 0, 2]);
    expect([sheet.findings[2]?.xMm, sheet.findings[2]?.yMm]).toEqual([5.1, 2.9]);
    expect([sheet.layers[1]?.strands[2]?.xMm[4], sheet.layers[1]?.strands[2]?.yMm[4]]).toEqual([2, Math.fround(4.2)]);
  });

  it("counts strands with earlier attempts", () => {
    const earlier = input.stations.filter((at) => at.layer === 1 && at.strand < 3);
    expect(buildSheet({ ...input, earlierAttempts: earlier }).earlierAttemptCount).toBe(2);
  });
});

describe("the worst value in words", () => {
  const station = result.stations.find((at) => at.layer === 2 && at.strand === 3 && at.sMm === 5) as StationResult;
  const finding = (worst: StretchFinding["worst"]): StretchFinding => ({ ...(result.findings[0] as StretchFinding), worst });

  it("an offset says how far and to which side of travel", () => {
    expect(valueWords(finding({ metric: "offsetMm", value: 0.43, limit: 0.33 }), station)).toEqual({ value: "0.43\u00a0±\u00a00.01 mm left", limit: "limit 0.33 mm" });
    const right = { ...station, measured: { ...(station.measured as NonNullable<StationResult["measured"]>), offsetMm: -0.43 } };
    expect(valueWords(finding({ metric: "offsetMm", value: 0.43, limit: 0.33 }), right).value).toBe("0.43\u00a0±\u00a00.01 mm right");
  });

  it("a deviation shows its sign with a true minus, and a small u three digits", () => {
    expect(valueWords(finding({ metric: "widthMm", value: -0.25, limit: -0.22 }), station)).toEqual({ value: "width −0.25\u00a0±\u00a00.02 mm", limit: "limit −0.22 mm" });
    const sure = { ...station, u: { ...(station.u as NonNullable<StationResult["u"]>), heightMm: 0.0042 } };
    expect(valueWords(finding({ metric: "heightMm", value: 0.31, limit: 0.18 }), sure).value).toBe("height +0.310\u00a0±\u00a00.004 mm");
  });

  it("a ratio carries u of the area over the planned area, and noise below nought keeps its minus", () => {
    expect(valueWords(finding({ metric: "areaRatio", value: 0.69, limit: 0.8 }), station).value).toBe("area ratio 0.69\u00a0±\u00a00.01");
    expect(valueWords(finding({ metric: "areaRatio", value: -0.012, limit: 0.25 }), null).value).toBe("area ratio −0.01");
  });

  it("no reading is said, not made a number", () => {
    expect(valueWords(finding({ metric: "coverage", value: null, limit: 0.6 }), null)).toEqual({ value: "no reading", limit: "limit 0.60" });
  });
});

describe("the small picture", () => {
  it("cuts a strand into stretches half-way between stations of different meaning", () => {
    const stations = (["inBand", "watch", "gap", "gap", "unmeasured"] as const).map((verdict, i) => ({ layer: 1, strand: 4, sMm: i * 2, verdict }));
    expect(buildThumbnail(stations)).toEqual([{ layer: 1, strand: 4, lengthMm: 8, stretches: [{ fromMm: 0, toMm: 3, look: "seen" }, { fromMm: 3, toMm: 7, look: "gap" }, { fromMm: 7, toMm: 8, look: "blank" }] }]);
  });

  it("starts a new strand where layer or strand changes", () => {
    const stations = [[1, 1], [1, 2], [2, 2]].map(([layer, strand]) => ({ layer: layer as number, strand: strand as number, sMm: 0, verdict: "pending" as const }));
    expect(buildThumbnail(stations).map((strand) => [strand.layer, strand.strand])).toEqual([[1, 1], [1, 2], [2, 2]]);
  });
});
