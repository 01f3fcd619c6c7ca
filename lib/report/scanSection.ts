/** Section "later" of a report: what scans after setting showed beside what lay there wet. */
import type { ReportBlock, ReportSection, ReportTable } from "../model/report.ts";
import { NOT_COMPARED, type KeptScan, type NotCompared, type ScanComparison, type ScanLine, type ScanStrand, type WithU } from "../model/scan.ts";
import { ratioDrawing } from "./scanDrawing.ts";
import { signed } from "./valueWords.ts";
import { counted } from "./words.ts";

/** U = k u, k = 2 for about 95 % (JCGM 100). */
export const SCAN_K = 2;

const WHY: Readonly<Record<NotCompared, string>> = {
  buried: "covered by the layer above", notSeenWet: "not measured wet, or a gap already then", notSeenHard: "not seen well enough in the scan", lost: "gone",
  besideLoss: "within a width of what is gone, where it ends in ramps", moved: "pushed off their place",
};

/** null where there is none. */
export function scanSection(scans: readonly KeptScan[]): ReportSection | null {
  if (scans.length === 0) return null;
  return { id: "later", title: "After setting, beside what lay there wet", blocks: scans.flatMap((scan) => blocksOf(scan, scans.length > 1)) };
}

function blocksOf(scan: KeptScan, isOneOfSeveral: boolean): ReportBlock[] {
  const { n, setAt, addedAt, addedBy, note, comparison } = scan;
  const head: ReportBlock[] = [
    ...(isOneOfSeveral ? [{ kind: "heading", text: `Scan ${n}` } as const] : []),
    { kind: "facts", facts: [{ name: "material set at", value: setAt }, { name: "added", value: `${addedAt} by ${addedBy}` }, ...(note === "" ? [] : [{ name: "note", value: note }])] },
  ];
  if (comparison === null) return [...head, { kind: "caution", text: NOT_KEPT }];
  return [
    ...head, { kind: "words", text: scanSentence(comparison) }, { kind: "table", table: strandTable(comparison.strands) },
    ...ratioDrawing(n, comparison.strands).map((drawing): ReportBlock => ({ kind: "drawing", drawing })),
    { kind: "words", text: notComparedWords(comparison.strands) }, { kind: "words", text: shiftWords(comparison) },
    { kind: "caution", text: cautionWords(comparison.strands) },
  ];
}

/** Of a scan whose comparison is not there any more. */
const NOT_KEPT = "The comparison that was kept is not there any more, so nothing is said of this scan.";

export function scanLine({ n, setAt, addedBy, note, comparison }: KeptScan): ScanLine {
  return { n, setAt, addedBy, note, sentence: comparison === null ? NOT_KEPT : scanSentence(comparison) };
}

/** What a scan showed, in a sentence or two. */
export function scanSentence({ strands, areaRatio, lostMm3 }: ScanComparison): string {
  const lost = strands.filter((strand) => strand.lost.length > 0), compared = strands.reduce((sum, { comparedCount }) => sum + comparedCount, 0);
  const gone = lost.length === 0 ? "Nothing that was compared is gone." : `Gone: ${lost.map(lostWords).join("; ")}, ${lostMm3.toFixed(2)} mm³ as they lay there wet.`;
  if (compared === 0 && lost.length === 0) return "Nothing of the scan could be compared with what lay there wet.";
  if (areaRatio === null) return `No strand on the target itself could be compared; what lies on paste also sank with what is beneath it. ${gone}`;
  const shrunk = 1 - areaRatio.value, guard = SCAN_K * areaRatio.u;
  const size = `${(100 * Math.abs(shrunk)).toFixed(1)} % ± ${(100 * guard).toFixed(1)} % (k = 2)`;
  const words = Math.abs(shrunk) <= guard ? `Sections of the strands on the target are as they were wet, to ${(100 * guard).toFixed(1)} % (k = 2).` : `Sections of the strands on the target are ${size} ${shrunk > 0 ? "smaller" : "larger"} than they were wet.`;
  return `${words} ${gone}`;
}

function lostWords({ layer, strand, lost }: ScanStrand): string {
  return `strand ${strand} of layer ${layer} ${lost.map(({ fromMm, toMm }) => `from ${fromMm.toFixed(2)} to ${toMm.toFixed(2)} mm`).join(" and ")}`;
}

const pm = (value: WithU | null, digits: number, text: (v: number) => string): string => (value === null ? "–" : `${text(value.value)} ± ${(SCAN_K * value.u).toFixed(digits)}`);

function strandTable(strands: readonly ScanStrand[]): ReportTable {
  const rows = strands.filter(({ laidCount }) => laidCount > 0);
  const numbers = ["layer", "strand", "stations compared of laid", "wet, mm³", "hard, mm³", "hard : wet ± U", "volume ± U, mm³", "height ± U, mm", "sideways ± U, mm", "gone, mm"];
  return {
    caption: "Strand by strand, hard beside wet; U with k = 2, visible sections over the same length. * lies on paste: what sank beneath counts too",
    columns: numbers.map((title) => ({ title, isNumber: true })),
    rows: rows.map((s) => [
      String(s.layer), `${s.strand}${s.isOverPaste ? "*" : ""}`, `${s.comparedCount} of ${s.laidCount}`, s.comparedCount === 0 ? "–" : s.wetMm3.toFixed(3), s.comparedCount === 0 ? "–" : s.hardMm3.toFixed(3),
      pm(s.areaRatio, 4, (v) => v.toFixed(4)), pm(s.volumeChangeMm3, 3, (v) => signed(v, 3)), pm(s.heightChangeMm, 3, (v) => signed(v, 3)), pm(s.offsetChangeMm, 3, (v) => signed(v, 3)),
      s.lost.length === 0 ? "none" : s.lost.reduce((sum, { fromMm, toMm }) => sum + toMm - fromMm, 0).toFixed(2),
    ]),
  };
}

function notComparedWords(strands: readonly ScanStrand[]): string {
  const parts = NOT_COMPARED.map((why) => [why, strands.reduce((sum, { notCompared }) => sum + notCompared[why], 0)] as const).filter(([, count]) => count > 0);
  return parts.length === 0 ? "Every station that was laid was compared." : `Not compared: ${parts.map(([why, count]) => `${counted(count, "station")} ${WHY[why]}`).join("; ")}.`;
}

function shiftWords({ shift, shiftLeftMm }: ScanComparison): string {
  if (shift === null) return "Whether the scan lies aside of the wet surface is not known: no flank was seen both times.";
  const size = `${shift.sizeMm.toFixed(3)} mm ± ${(SCAN_K * shift.uMm).toFixed(3)} mm (k = 2, ${counted(shift.stationCount, "station")})`;
  if (shiftLeftMm === null) return `Across the strands the scan lies ${size} from where they lay wet; that was left as it is. Along the normal it was laid on bare target, profile by profile.`;
  return `Across the strands the scan lay ${size} from where they lay wet. It was moved back by so much and measured again; ${shiftLeftMm < 0.001 ? "less than 0.001" : shiftLeftMm.toFixed(3)} mm was left, and counts in U. Along the normal it was laid on bare target, profile by profile.`;
}

function cautionWords(strands: readonly ScanStrand[]): string {
  const paste = strands.some(({ isOverPaste, comparedCount }) => isOverPaste && comparedCount > 0) ? " Strands that lie on paste are measured over what they were laid on as it was wet: what sank beneath counts as theirs." : "";
  return `Compared are visible sections inside the lateral window, where both times enough was seen. U takes drift as one error along a whole strand, an upper bound; a shift along the strands is not known. The result of the run is not changed by a scan.${paste}`;
}
