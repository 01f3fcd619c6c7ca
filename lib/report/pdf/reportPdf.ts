/** A report on paper: A4, tagged for a screen reader (PDF/UA), drawn as vectors, the same bytes for the same report. */
import { PAPER_INKS } from "../../model/drawingLooks.ts";
import type { Report, ReportSection } from "../../model/report.ts";
import { recomputedWords } from "../../model/reportTitle.ts";
import { drawSection } from "./blocks.ts";
import type { FontFiles } from "./faces.ts";
import { Faces } from "./faces.ts";
import { flowText } from "./flow.ts";
import type { Pictures, Structure } from "./paper.ts";
import { LEFT, PAGE, Paper, STYLES, TEXT_WIDTH } from "./paper.ts";
import { drawFurniture, footHeight } from "./titleBlock.ts";
import { cutLines } from "./wrap.ts";

const COLUMN_GAP = 24;
const COLUMN_WIDTH = (TEXT_WIDTH - COLUMN_GAP) / 2;
const CONTENT_LEADING = 14;
const NUMBER_ROOM = 24;

/** An entry of the contents whose sheet is not known yet. */
interface Entry { readonly part: Structure; readonly sheet: number; readonly right: number; readonly y: number }

/** The verdict in words, as large as it counts. */
function drawOpening(paper: Paper, { head, verdict }: Report): void {
  const put = (tag: string, text: string | null, style: (typeof STYLES)[keyof typeof STYLES], after: number): void => {
    if (text !== null) flowText(paper, { parent: paper.root, tag, text, style, after });
  };
  put("H1", verdict.headline, STYLES.verdict, 6);
  put("P", verdict.detail === "" ? null : verdict.detail, STYLES.detail, 2);
  put("P", verdict.advice, STYLES.advice, 2);
  put("P", recomputedWords(head), STYLES.advice, 2);
  paper.y += 10;
}

/** The sections' titles in two columns, with room for their sheets. */
function drawContents(paper: Paper, sections: readonly ReportSection[]): Entry[] {
  if (sections.length === 0) return [];
  const inColumn = Math.ceil(sections.length / 2), height = inColumn * CONTENT_LEADING;
  paper.need(height);
  paper.rule(LEFT, paper.y, LEFT + TEXT_WIDTH, paper.y, PAPER_INKS.hair);
  const top = paper.y + 6, list = paper.part(paper.root, "TOC");
  const entries = sections.map(({ title }, i) => {
    const x = LEFT + Math.floor(i / inColumn) * (COLUMN_WIDTH + COLUMN_GAP), y = top + (i % inColumn) * CONTENT_LEADING, part = paper.part(list, "TOCI");
    const [line = ""] = cutLines(paper.faces, [title, ""], 1, STYLES.words, COLUMN_WIDTH - NUMBER_ROOM);
    const shown = paper.faces.width(title, STYLES.words.weight, STYLES.words.size) <= COLUMN_WIDTH - NUMBER_ROOM ? title : line;
    part.add(() => paper.line(`${shown} `, x, y, STYLES.words));
    return { part, sheet: paper.pageCount - 1, right: x + COLUMN_WIDTH, y };
  });
  paper.y = top + height;
  return entries;
}

function fillContents(paper: Paper, entries: readonly Entry[], sheets: readonly number[]): void {
  entries.forEach(({ part, sheet, right, y }, i) => {
    paper.doc.switchToPage(sheet);
    part.add(() => paper.line(String((sheets[i] as number) + 1), right, y, STYLES.words, "right"));
    part.end();
  });
}

function addBookmark(paper: Paper, title: string, y: number): void {
  // The place is counted from the sheet's right and lower edge.
  const options = { fit: false, top: Math.max(0, y - 8), left: PAGE.width, zoom: 0 } as { expanded?: boolean };
  paper.doc.outline.addItem(title, options);
}

/**
 * The report as a PDF. `fonts`: files of the family and of what has the marks that it lacks. `pictures`: those that the report's drawings show, as far as they are kept. A RangeError for a drawing whose places are no numbers, a
 * TypeError for a file that is no font.
 */
export function reportPdf(report: Report, fonts: FontFiles, pictures: Pictures = new Map()): Uint8Array<ArrayBuffer> {
  const { head, verdict, sections } = report, faces = new Faces(fonts), name = [head.name, head.specimen].filter((part) => part !== null).join(" · ");
  const paper = new Paper({ title: `${name}: report`, subject: verdict.headline, madeAt: head.madeAt, faces, bottom: PAGE.height - PAGE.margin - footHeight(faces, report), pictures });
  drawOpening(paper, report);
  const entries = drawContents(paper, sections);
  const began = sections.map((section) => {
    const place = drawSection(paper, section);
    addBookmark(paper, section.title, place.y);
    return place.sheet;
  });
  fillContents(paper, entries, began);
  drawFurniture(paper, report);
  return paper.end();
}
