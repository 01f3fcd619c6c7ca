/** The measuring side of a report. Made results are invented; JCGM 100 (GUM) and RFC 3339 stand beside what is checked against them. */
import { describe, expect, it } from "vitest";
import type { FindingDisposition } from "../../../lib/model/disposition.ts";
import { SECTION_IDS, type ReportBlock, type ReportHead, type ReportSection } from "../../../lib/model/report.ts";
import type { StationResult } from "../../../lib/model/result.ts";
import type { StrandMean } from "../../../lib/model/strandMean.ts";
import { mixedWords } from "../../../lib/report/body/basisSection.ts";
import type { BodyInput } from "../../../lib/report/body/bodyInput.ts";
import { budgetSection } from "../../../lib/report/body/budgetSection.ts";
import { findingsSection } from "../../../lib/report/body/findingsBlocks.ts";
import { reportBody, wholeReport } from "../../../lib/report/body/reportBody.ts";
import { buildSheet } from "../../../lib/report/buildSheet.ts";
import { decimalsFor, withExpandedU } from "../../../lib/report/uWords.ts";
import { madeResult } from "../../support/madeResult.ts";

const result = madeResult({
  layers: 2, strands: 3, lengthMm: 12, spacingMm: 0.5, widthMm: 1.1, heightMm: 0.6, laidStrands: 2,
  faults: [{ layer: 2, strand: 2, fromMm: 4, toMm: 7, kind: "underExtrusion" }, { layer: 1, strand: 2, fromMm: 8, toMm: 9.5, kind: "gap" }, { layer: 1, strand: 3, fromMm: 2, toMm: 4.5, kind: "unmeasured" }],
});
const taken: StationResult[] = result.stations.filter((at) => at.layer === 1 && at.strand === 1 && at.sMm >= 3 && at.sMm <= 5).map((at) => ({ ...at, attempt: 1, verdict: "over" }));
const strands = [1, 2].flatMap((layer) => [1, 2, 3].map((strand) => ({ layer, strand, lengthMm: 12, closed: false })));
const head = { runId: "r-1", name: "bench rehearsal (invented)", specimen: "block 12", lot: "A7", materialName: "test paste", createdAt: "2026-02-03T09:12:00.000Z", rehearsal: true, demo: false, planSha256: "ab" };
const sheet = buildSheet({
  head, resultId: "result", job: null, plan: null, beadShape: "stadium", strands, stations: result.stations, earlierAttempts: taken, findings: result.findings, frames: [], summary: result.summary,
  acceptance: { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 }, warnings: [{ code: "source.unknownKey", message: "an unknown key", file: "job.json", line: 3 }],
});
const input: BodyInput = { sheet, job: null, plan: null, stations: result.stations, earlierAttempts: taken, findings: result.findings, frames: [], framed: () => null, summary: result.summary, means: [], preflightSentence: null, cutAt: () => null, more: [] };
const body = reportBody(input);
const sectionOf = (id: string, of: readonly ReportSection[] = body.sections): ReportSection => of.find((section) => section.id === id) as ReportSection;
const wordsOf = ({ blocks }: ReportSection): string => blocks.map((block) => (block.kind === "words" || block.kind === "caution" || block.kind === "heading" ? block.text : "")).join(" ");
const tableOf = ({ blocks }: ReportSection, i = 0): readonly (readonly string[])[] => blocks.flatMap((block: ReportBlock) => (block.kind === "table" ? [block.table.rows] : []))[i] ?? [];
const reportHead: ReportHead = { runId: "r-1", resultId: "result", name: head.name, specimen: null, materialName: "m", lot: null, planSha256: "ab", runAt: head.createdAt, madeAt: head.createdAt, stamp: "REHEARSAL", recomputed: null, logHead: "", logCount: 0, recordWords: "whole", signedWords: "not signed" };

describe("amounts", () => {
  it("of 6 strands of 12 mm 5 were laid, 60.0 mm; what was not measured has no volume", () => {
    expect(wordsOf(sectionOf("amounts"))).toMatch(/^Five strands of 6 begun; 60\.0 of 72\.0 mm laid\./);
    expect(tableOf(sectionOf("amounts")).map((row) => [row[0], row[1], row[2], row[3]])).toEqual([["1", "3 of 3", "36.0", "36.0"], ["2", "2 of 3", "36.0", "24.0"]]);
  });

  it("the share that was measured of layer 1 is 33.0 of 36.0 mm by hand: 6 stations of 0.5 mm were not", () => {
    expect(tableOf(sectionOf("amounts"))[0]?.[4]).toBe("91.7\u00a0%");
  });
});

describe("what is covered and what was taken off", () => {
  it("layer 1 is covered, with its verdicts then and one act finding beneath", () => {
    expect(tableOf(sectionOf("buried"))).toEqual([["1", "75", "65 in band, 4 gap, 6 not seen", "0.6 s, at most 0.6 s", "1"]]);
  });
  it("the attempt before is kept with its stretch, beside what stands now", () => {
    expect(tableOf(sectionOf("attempts"))).toEqual([["1", "1", "1", "3.0–5.0", "5 over", "5 in band"]]);
  });
});

describe("what was not measured", () => {
  it("six of 125 laid stations, one stretch of them, and the strand that was not laid", () => {
    expect(wordsOf(sectionOf("unmeasured"))).toMatch(/^6 of 125 laid stations \(4\.8\u00a0%\) were not measured/);
    expect(tableOf(sectionOf("unmeasured")).map((row) => row.slice(0, 4))).toEqual([["1", "3", "2.0–4.5", "6"], ["2", "3", "0.0–12.0", "25"]]);
  });
});

describe("findings", () => {
  const dispositions: readonly FindingDisposition[] = [{ seq: 9, at: "2026-02-03T10:00:00.000Z", actor: "Dana Reyes", resultId: "result", findingIndex: 1, disposition: "acceptedAsIs", reason: "noMatterForUse", note: "filled by hand" }];

  it("come worst first with U = 2 u, limit and whether proven: u(area) 0.009 mm² on 0.621 mm² is ± 0.03 of the ratio", () => {
    expect(tableOf(findingsSection(body.findings, dispositions)).map((row) => [row[0], row[3], row[4], row[5], row[6]])).toEqual([
      ["G", "area ratio: 0.02\u00a0±\u00a00.03", "0.25", "yes", "accepted as it is, Dana Reyes"],
      ["U", "area ratio: 0.69\u00a0±\u00a00.03", "0.80", "yes", "open"],
      ["N", "coverage: –", "0.60", "no", "open"],
    ]);
  });

  it("say how many are to act on and how many of those are open", () => {
    expect(wordsOf(findingsSection(body.findings, dispositions))).toMatch(/^Three findings, 2 of them to act on\. One of those is open: nobody has decided\./);
    expect(wordsOf(findingsSection([], []))).toBe("There are no findings.");
  });

  it("each has its section, with where it is and what was decided", () => {
    const { blocks } = findingsSection(body.findings, dispositions), facts = blocks.flatMap((block) => (block.kind === "facts" ? [block.facts] : []));
    expect(blocks.filter(({ kind }) => kind === "drawing")).toHaveLength(3);
    expect(facts[0]?.find(({ name }) => name === "disposition")?.value).toBe("accepted as it is: does not matter for the use, “filled by hand”; Dana Reyes, 2026-02-03 10:00:00 UTC");
  });
});

describe("a whole report", () => {
  const report = wholeReport(reportHead, body, [], []);

  it("has its sections in their own order, each once, and the same result gives the same report", () => {
    const ids = report.sections.map(({ id }) => id);
    expect(ids).toEqual(SECTION_IDS.filter((id) => ids.includes(id)));
    expect(JSON.stringify(wholeReport(reportHead, reportBody(input), [], []))).toBe(JSON.stringify(report));
  });

  it("draws nothing beyond its pictures, and no two of them have one name", () => {
    const drawings = report.sections.flatMap(({ blocks }) => blocks).flatMap((block) => (block.kind === "drawing" ? [block.drawing] : []));
    expect(new Set(drawings.map(({ id }) => id)).size).toBe(drawings.length);
    for (const { width, height, marks } of drawings) {
      for (const mark of marks) {
        const points = mark.kind === "path" ? mark.points : [mark.x, mark.y];
        points.forEach((value, i) => expect(value >= -1 && value <= (i % 2 === 0 ? width : height) + 1).toBe(true));
      }
    }
  });

  it("says the warning's place and the cautions", () => {
    expect(tableOf(sectionOf("warnings"))).toEqual([["source.unknownKey", "an unknown key", "job.json:3"]]);
    expect(wordsOf(sectionOf("cautions"))).toContain("not an emergency stop");
  });
});

describe("the budget", () => {
  const mean = (more: Partial<StrandMean>): StrandMean => ({
    layer: 1, strand: 1, laidCount: 10, measuredCount: 10, inBandCount: 10, areaRatio: 1, widthDevMm: 0, heightDevMm: 0, offsetMm: 0, laidS: 1,
    uNoiseMm2: 0, uSamplingMm2: 0, uSupportMm2: 0, uDriftMm2: 0, uHolesMm2: 0, uCalibrationMm2: 0, ...more,
  });

  it("contributions of 25, 9.7, 2.9 and 16.68 combine to 31.71 (JCGM 100, H.1, end gauge)", () => {
    const section = budgetSection({ means: [mean({ uNoiseMm2: 25, uSamplingMm2: 9.7, uSupportMm2: 2.9, uDriftMm2: 16.68 })], stations: result.stations.slice(0, 1) });
    expect(tableOf(section).at(-1)?.[2]).toMatch(/^31\.71/);
    expect(wordsOf(section)).toContain("u = 31.71");
  });

  it("strands count by their measured stations: 10 at 0.03 and 30 at 0.01 mm² are √(0.003) / √10 = 0.01732 mm²", () => {
    const section = budgetSection({ means: [mean({ uNoiseMm2: 0.03 }), mean({ strand: 2, measuredCount: 30, uNoiseMm2: 0.01 })], stations: result.stations.slice(0, 1) });
    expect(tableOf(section)[0]?.[2]).toBe("0.01732");
  });

  it("without contributions it says so", () => {
    expect(wordsOf(sectionOf("budget"))).toMatch(/^No contributions are kept/);
  });
});

describe("numbers and times", () => {
  it("U has one significant digit, two where it begins with 1 (JCGM 100, 7.2.6), and at least two decimals", () => {
    expect([0.4, 0.034, 0.018, 0.0072, 0.00012, null].map(decimalsFor)).toEqual([2, 2, 3, 3, 4, 2]);
    expect([withExpandedU(0.34, 0.006, true), withExpandedU(-0.004, 0.0036), withExpandedU(null, 0.1)]).toEqual(["+0.340\u00a0±\u00a00.012", "−0.004\u00a0±\u00a00.007", "–"]);
  });

  it.each([ // RFC 3339, 5.8
    ["1985-04-12T23:20:50.52Z", "1985-04-12 23:20:50 UTC"], ["1996-12-19T16:39:57-08:00", "1996-12-20 00:39:57 UTC"], ["1937-01-01T12:00:27.87+00:20", "1937-01-01 11:40:27 UTC"], ["1990-12-31T23:59:60Z", "1990-12-31T23:59:60Z"],
  ])("mixed at %s is %s", (text, words) => {
    expect(mixedWords(text)).toBe(words);
  });
});
