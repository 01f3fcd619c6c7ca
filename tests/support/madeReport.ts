/** A hand-made report with every kind of block, every fill and line, long tables, long words and empty tables. Nothing was measured for it. */
import { VERDICT_MARKS } from "../../lib/model/marks.ts";
import type { Drawing, DrawingMark, Fill, Report, ReportBlock, ReportSection, ReportTable } from "../../lib/model/report.ts";
import { DRAWING_WIDTH, LINE_LOOKS } from "../../lib/model/report.ts";
import { VERDICTS } from "../../lib/model/result.ts";

export const FILLS: readonly Fill[] = ["none", "bone", "band", ...VERDICTS];
/** Every mark outside ASCII that a report may hold and that the family or what stands in for it has. */
export const MARKS = "° ² ³ ± – − × · … ½ ’ “ ” μ µ ≤ ≥ ≈ → σ Δ √ 12\u2009mm 3\u202fmm² Łódź Čapek Жанна Ωmega";

const words = (text: string): ReportBlock => ({ kind: "words", text });

function box(x: number, y: number, wide: number, high: number): number[] {
  return [x, y, x + wide, y, x + wide, y + high, x, y + high];
}

function fillMarks(fill: Fill, i: number): DrawingMark[] {
  const x = 5 + (i % 5) * 97, y = 20 + Math.floor(i / 5) * 56, verdict = fill === "none" || fill === "bone" || fill === "band" ? null : fill;
  return [
    { kind: "path", points: box(x, y, 85, 30), look: "none", fill, closed: true },
    { kind: "text", x, y: y - 4, text: fill, size: 8, anchor: "start", bold: false, quiet: true },
    ...(verdict === null ? [] : [{ kind: "tag" as const, x: x + 14, y: y + 15, verdict, letter: VERDICT_MARKS[verdict].letter }]),
  ];
}

/** Every fill with its tag, and every line. */
export function madeDrawing(id: string, { height = 280, title = "Fills and lines" }: { readonly height?: number; readonly title?: string } = {}): Drawing {
  const lines = LINE_LOOKS.flatMap((look, i): DrawingMark[] => [
    { kind: "path", points: [60, 198 + i * 10, 300, 198 + i * 10, 480, 204 + i * 10], look, fill: "none", closed: false },
    { kind: "text", x: 52, y: 201 + i * 10, text: look, size: 9, anchor: "end", bold: look === "thick", quiet: false },
  ]);
  return { id, title, alt: `Thirteen fills and eight lines, as they are told apart without colour (${id}).`, width: DRAWING_WIDTH, height, scaleWords: "1 : 2", marks: [...FILLS.flatMap(fillMarks), ...lines] };
}

/** `rows` rows of a strand's numbers, six columns. */
export function madeTable(caption: string, rows: number): ReportTable {
  return {
    caption,
    columns: [{ title: "strand", isNumber: false }, { title: "from – to, mm", isNumber: false }, { title: "width, mm", isNumber: true }, { title: "u of width, mm", isNumber: true }, { title: "area ratio", isNumber: true }, { title: "verdict", isNumber: false }],
    rows: Array.from({ length: rows }, (_, i) => [
      `layer ${1 + Math.floor(i / 40)}, strand ${1 + (i % 40)}`, `${(i * 0.5).toFixed(1)} – ${(i * 0.5 + 2.5).toFixed(1)}`, (0.98 + (i % 7) * 0.013).toFixed(3), `± ${(0.02 + (i % 3) * 0.001).toFixed(3)}`,
      i % 9 === 4 ? "–" : (1.02 - (i % 11) * 0.031).toFixed(2), VERDICT_MARKS[VERDICTS[i % VERDICTS.length] ?? "inBand"].label,
    ]),
  };
}

const LONG_WORD = "Längstesunzerlegbareswortderganzenprüfung".repeat(9);
const SENTENCE = "The strand lies 0.34 ± 0.02 mm left of travel between 11.4 mm and 14.5 mm, seen 9 mm behind the nozzle while the paste was still soft. ";

export const MADE_SECTIONS: readonly ReportSection[] = [
  { id: "basis", title: "What it rests on", blocks: [
    words(SENTENCE.repeat(3)),
    { kind: "caution", text: "Numbers say what was seen from above. What a strand is worth inside is a laboratory’s own to decide." },
    { kind: "facts", facts: [{ name: "nozzle", value: "0.84 mm, inner" }, { name: "stations", value: "612 of 620 measured" }, { name: "a long value", value: SENTENCE.repeat(4) }, { name: "a hash", value: "3f9c12ab".repeat(8) }] },
    { kind: "heading", text: "Marks that have to be there" }, words(MARKS),
  ] },
  { id: "maps", title: "Maps", blocks: [{ kind: "drawing", drawing: madeDrawing("first") }, { kind: "heading", text: "A second one" }, { kind: "drawing", drawing: madeDrawing("second", { title: `A title that is long: ${SENTENCE.repeat(2)}` }) }] },
  { id: "distributions", title: "Strands, one by one", blocks: [{ kind: "table", table: madeTable("Strands, each with what was found", 300) }, words("After the long table.")] },
  { id: "unmeasured", title: "What was not seen", blocks: [
    { kind: "table", table: { caption: "Stretches without a reading", columns: [{ title: "strand", isNumber: false }, { title: "length, mm", isNumber: true }], rows: [] } },
    { kind: "table", table: { caption: "Fourteen columns", columns: Array.from({ length: 14 }, (_, i) => ({ title: `quantity ${i + 1}, mm`, isNumber: true })), rows: Array.from({ length: 4 }, (_, row) => Array.from({ length: 14 }, (__, i) => (row * 14 + i * 1.37).toFixed(3))) } },
    { kind: "table", table: { caption: "Long words", columns: [{ title: "what", isNumber: false }, { title: "why", isNumber: false }], rows: [["a word", LONG_WORD], ["a story", SENTENCE.repeat(60)]] } },
  ] },
  { id: "cautions", title: "What it does not say", blocks: [words("Nothing follows."), { kind: "facts", facts: [] }] },
];

export interface MadeReportSettings { readonly sections?: readonly ReportSection[]; readonly name?: string; readonly signedWords?: string; readonly recomputed?: string | null; readonly headline?: string }

/** A report of a rehearsal, not acceptable, not signed. */
export function madeReport({ sections = MADE_SECTIONS, name = "Angle block 12", signedWords = "not signed", recomputed = null, headline }: MadeReportSettings = {}): Report {
  return {
    contract: "aslaid/1",
    head: {
      runId: "0192f3a1-7c2e-7b10-8f00-000000000001", resultId: "0192f3a1-7c2e-7b10-8f00-000000000002", name, specimen: "foam phantom 3", materialName: "calcium-phosphate paste", lot: "A7",
      planSha256: "3f9c12ab".repeat(8), runAt: "2026-02-03T09:12:07.250Z", madeAt: "2026-02-04T10:31:44.000Z", stamp: "REHEARSAL", recomputed,
      logHead: "8b1e0c54".repeat(8), logCount: 1284, recordWords: "whole", signedWords,
    },
    verdict: {
      acceptable: false, headline: headline ?? "Not acceptable yet: three findings are open. 96.2 % of the laid length is in band.",
      detail: "612 of 620 stations measured. Laid 1.3 % less volume than planned. The worst: strand 5 has a gap of 2.6 mm at 6.0 mm, buried since 09:21.", advice: "Decide about strand 5 first.",
    },
    sections,
  };
}
