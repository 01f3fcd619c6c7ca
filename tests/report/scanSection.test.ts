import { describe, expect, it } from "vitest";
import type { ReportSection } from "../../lib/model/report.ts";
import type { KeptScan, ScanComparison, ScanStrand } from "../../lib/model/scan.ts";
import { scanLine, scanSection, scanSentence } from "../../lib/report/scanSection.ts";

const NOTHING = { buried: 0, notSeenWet: 0, notSeenHard: 0, lost: 0, besideLoss: 0, moved: 0 };
const strand = (number: number, more: Partial<ScanStrand> = {}): ScanStrand => ({
  layer: 1, strand: number, laidCount: 41, comparedCount: 38, notCompared: NOTHING, comparedMm: 19, wetMm3: 8.987, hardMm3: 7.941, isOverPaste: false, areaRatio: { value: 0.8836, u: 0.0021 },
  volumeChangeMm3: { value: -1.046, u: 0.021 }, heightChangeMm: { value: -0.0312, u: 0.0044 }, offsetChangeMm: { value: 0.0021, u: 0.005 }, lost: [], lostMm3: 0, ...more,
});
const comparison = (more: Partial<ScanComparison> = {}): ScanComparison => ({
  contract: "aslaid/1", device: "profiler-1", profileCount: 412, strands: [strand(1), strand(2, { areaRatio: { value: 0.91, u: 0.003 } })], areaRatio: { value: 0.8836, u: 0.0018 }, volumeChangeMm3: { value: -2.1, u: 0.04 }, lostMm3: 0,
  shift: { vectorMm: [0, 0.0021, 0], sizeMm: 0.0021, uMm: 0.005, stationCount: 76 }, shiftLeftMm: null, ...more,
});
const kept = (n: number, of: ScanComparison | null, note = ""): KeptScan => ({ n, setAt: "2026-02-04T09:00:00.000Z", addedAt: "2026-02-04T11:30:00.000Z", addedBy: "Ines Probe", note, comparison: of });
const texts = (section: ReportSection): string => section.blocks.map((block) => ("text" in block ? block.text : "")).join("\n");

describe("the sentence of a scan", () => {
  it("11.6 % smaller with U of 0.4 % (k = 2): says both, and that nothing is gone", () => {
    expect(scanSentence(comparison())).toBe("Sections of the strands on the target are 11.6 % ± 0.4 % (k = 2) smaller than they were wet. Nothing that was compared is gone.");
  });

  it("0.3 % with U of 0.4 % is no change; 0.5 % larger is one", () => {
    expect(scanSentence(comparison({ areaRatio: { value: 0.997, u: 0.0018 } }))).toMatch(/^Sections of the strands on the target are as they were wet, to 0\.4 % \(k = 2\)\./);
    expect(scanSentence(comparison({ areaRatio: { value: 1.005, u: 0.0018 } }))).toMatch(/^Sections of the strands on the target are 0\.5 % ± 0\.4 % \(k = 2\) larger/);
  });

  it("names each stretch that is gone with its place and its wet volume", () => {
    const lost = comparison({ lostMm3: 1.18, strands: [strand(1), strand(2, { lost: [{ fromMm: 5.25, toMm: 7.75 }, { fromMm: 11, toMm: 12.5 }], lostMm3: 1.18 })] });
    expect(scanSentence(lost)).toMatch(/Gone: strand 2 of layer 1 from 5\.25 to 7\.75 mm and from 11\.00 to 12\.50 mm, 1\.18 mm³ as they lay there wet\.$/);
  });

  it("nothing compared, and nothing on the target compared, are said so without a number of shrinkage", () => {
    const empty = { comparedCount: 0, areaRatio: null, volumeChangeMm3: null, heightChangeMm: null, offsetChangeMm: null, wetMm3: 0, hardMm3: 0 };
    expect(scanSentence(comparison({ areaRatio: null, strands: [strand(1, empty)] }))).toBe("Nothing of the scan could be compared with what lay there wet.");
    expect(scanSentence(comparison({ areaRatio: null, strands: [strand(1, empty), strand(1, { layer: 2, isOverPaste: true })] }))).toMatch(/^No strand on the target itself could be compared; what lies on paste also sank/);
  });
});

describe("the section", () => {
  it("is not there without a scan", () => {
    expect(scanSection([])).toBeNull();
  });

  it("has id later, the table with U by strand (2 u), a drawing with one thick dot a strand, and what was left out and why", () => {
    const section = scanSection([kept(1, comparison({ strands: [strand(1), strand(2, { comparedCount: 20, notCompared: { ...NOTHING, lost: 5, besideLoss: 4, notSeenHard: 12 }, lost: [{ fromMm: 5.25, toMm: 7.75 }] })] }), "after a night in water")])!;
    expect(section.id).toBe("later");
    const [table] = section.blocks.flatMap((block) => (block.kind === "table" ? [block.table] : []));
    expect(table!.rows[0]).toEqual(["1", "1", "38 of 41", "8.987", "7.941", "0.8836 ± 0.0042", "−1.046 ± 0.042", "−0.031 ± 0.009", "+0.002 ± 0.010", "none"]);
    expect(table!.rows[1]!.at(-1)).toBe("2.50");
    expect(table!.rows[0]).toHaveLength(table!.columns.length);
    const [drawing] = section.blocks.flatMap((block) => (block.kind === "drawing" ? [block.drawing] : []));
    expect(drawing!.marks.filter((mark) => mark.kind === "path" && mark.look === "thick")).toHaveLength(2);
    for (const mark of drawing!.marks) if (mark.kind === "path") for (const [i, at] of mark.points.entries()) expect(at >= 0 && at <= (i % 2 === 0 ? drawing!.width : drawing!.height)).toBe(true);
    expect(texts(section)).toMatch(/Not compared: twelve stations not seen well enough in the scan; five stations gone; four stations within a width/);
    expect(texts(section)).toMatch(/0\.002 mm ± 0\.010 mm \(k = 2, 76 stations\).* left as it is/);
  });

  it("says of a shift that was taken out how much was left, and of paste beneath that it sank too", () => {
    const text = texts(scanSection([kept(1, comparison({ shift: { vectorMm: [0, 0.04, 0], sizeMm: 0.04, uMm: 0.005, stationCount: 76 }, shiftLeftMm: 0.0004, strands: [strand(1, { isOverPaste: true, layer: 2 })] }))])!);
    expect(text).toMatch(/lay 0\.040 mm .* moved back by so much and measured again; less than 0\.001 mm was left/);
    expect(text).toMatch(/what sank beneath counts as theirs/);
  });

  it("two scans have headings; one whose comparison is gone says so, with no number", () => {
    const section = scanSection([kept(1, null), kept(2, comparison())])!;
    expect(section.blocks.filter(({ kind }) => kind === "heading")).toHaveLength(2);
    expect(texts(section)).toMatch(/not there any more/);
    expect(scanLine(kept(1, null)).sentence).toMatch(/not there any more/);
  });
});
