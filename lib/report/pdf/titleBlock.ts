/** The title block at the foot of every sheet (in the sense of ISO 7200), what Aslaid is not below it, and the stamp over the text. */
import { PAPER_INKS } from "../../model/drawingLooks.ts";
import type { Report } from "../../model/report.ts";
import type { TitleFact } from "../../model/reportTitle.ts";
import { titleFacts } from "../../model/reportTitle.ts";
import { SAFETY_LEAD, SAFETY_WORDS } from "../../model/safety.ts";
import type { Faces } from "./faces.ts";
import type { Paper, Style } from "./paper.ts";
import { LEFT, MM, PAGE, STYLES, TEXT_WIDTH } from "./paper.ts";
import { cutLines, wrapText } from "./wrap.ts";

const LABEL: Style = { size: 6, leading: 7, weight: "regular", ink: PAPER_INKS.quiet };
const VALUE: Style = { size: 7.5, leading: 9, weight: "bold", ink: PAPER_INKS.ink };
const SAFETY: Style = { size: 6.5, leading: 8, weight: "regular", ink: PAPER_INKS.quiet };
const PAD = 3.5;
/** A cell has so many lines at most; the whole words stand in their section. */
const MOST_LINES = 3;
const TWELFTHS = 12;
const OVER = 12;
const SAFETY_OVER = 4;

interface Cell { readonly label: string; readonly lines: readonly string[]; readonly x: number; readonly width: number }
interface Row { readonly cells: readonly Cell[]; readonly height: number }

/** Cells into rows of twelve twelfths. */
function rowsOf(faces: Faces, facts: readonly TitleFact[]): Row[] {
  const rows: Cell[][] = [];
  let taken = TWELFTHS;
  for (const { label, value, twelfths } of facts) {
    if (taken + twelfths > TWELFTHS) { rows.push([]); taken = 0; }
    const width = TEXT_WIDTH * twelfths / TWELFTHS, room = width - 2 * PAD;
    rows.at(-1)?.push({ label, width, x: LEFT + TEXT_WIDTH * taken / TWELFTHS, lines: cutLines(faces, wrapText(faces, value, VALUE, room), MOST_LINES, VALUE, room) });
    taken += twelfths;
  }
  return rows.map((cells) => ({ cells, height: LABEL.leading + Math.max(...cells.map(({ lines }) => lines.length)) * VALUE.leading + 3 }));
}

const blockHeight = (rows: readonly Row[]): number => rows.reduce((sum, { height }) => sum + height, 0);

function safetyLines(faces: Faces): string[] {
  return wrapText(faces, `${SAFETY_LEAD} ${SAFETY_WORDS}`, SAFETY, TEXT_WIDTH);
}

/** What the foot of a sheet takes of its height, with the room over it. */
export function footHeight(faces: Faces, report: Report): number {
  return OVER + blockHeight(rowsOf(faces, titleFacts(report, "0 of 0"))) + SAFETY_OVER + safetyLines(faces).length * SAFETY.leading;
}

function drawRules(paper: Paper, rows: readonly Row[], top: number): void {
  const { doc } = paper, height = blockHeight(rows);
  doc.lineWidth(0.5).strokeColor(PAPER_INKS.hair);
  let y = top;
  rows.forEach(({ cells, height: high }, i) => {
    if (i > 0) doc.moveTo(LEFT, y).lineTo(LEFT + TEXT_WIDTH, y).stroke();
    for (const { x } of cells.slice(1)) doc.moveTo(x, y).lineTo(x, y + high).stroke();
    y += high;
  });
  doc.lineWidth(1).strokeColor(PAPER_INKS.ink).rect(LEFT, top, TEXT_WIDTH, height).stroke();
}

/** Draws each cell by `put`, which says into what part of the structure. */
function drawValues(paper: Paper, rows: readonly Row[], top: number, put: (draw: () => void) => void): void {
  let y = top;
  for (const { cells, height } of rows) {
    for (const { label, lines, x } of cells) {
      const at = y + 1.5;
      put(() => {
        paper.line(`${label} `, x + PAD, at, LABEL);
        lines.forEach((line, i) => paper.line(line, x + PAD, at + LABEL.leading + i * VALUE.leading, VALUE));
      });
    }
    y += height;
  }
}

/** "REHEARSAL" over the text, letters apart. */
function drawStamp(paper: Paper, stamp: string): void {
  const text = Array.from(stamp).join("\u00a0");
  paper.line(text, LEFT + TEXT_WIDTH, PAGE.margin - 6 * MM, STYLES.stamp, "right");
}

/** Puts the furniture on every sheet, once it is known how many there are: seen on each, heard at the end of the last. */
export function drawFurniture(paper: Paper, report: Report): void {
  const safety = safetyLines(paper.faces), safetyTop = PAGE.height - PAGE.margin - safety.length * SAFETY.leading;
  for (let sheet = 0; sheet < paper.pageCount; sheet++) {
    paper.doc.switchToPage(sheet);
    const rows = rowsOf(paper.faces, titleFacts(report, `${sheet + 1} of ${paper.pageCount}`)), top = safetyTop - SAFETY_OVER - blockHeight(rows);
    const isLast = sheet === paper.pageCount - 1;
    const drawSafety = (): void => safety.forEach((line, i) => paper.line(line, LEFT, safetyTop + i * SAFETY.leading, SAFETY));
    paper.unheard(() => {
      drawRules(paper, rows, top);
      if (report.head.stamp !== null) drawStamp(paper, report.head.stamp);
      if (isLast) return;
      drawValues(paper, rows, top, (draw) => draw());
      drawSafety();
    }, "Pagination");
    if (!isLast) continue;
    const part = paper.part(paper.root, "Sect");
    drawValues(paper, rows, top, (draw) => { paper.part(part, "P").add(draw); });
    paper.part(part, "P").add(drawSafety);
    part.end();
  }
}
