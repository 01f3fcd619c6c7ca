/** The blocks of a section on paper. */
import { PAPER_INKS } from "../../model/drawingLooks.ts";
import type { ReportBlock, ReportSection } from "../../model/report.ts";
import type { Fact } from "../../model/sheet.ts";
import { drawDrawing, drawingHeight } from "./drawing.ts";
import { flowText, leastTextHeight, textHeight } from "./flow.ts";
import type { Paper, Structure } from "./paper.ts";
import { LEFT, STYLES, TEXT_WIDTH } from "./paper.ts";
import { drawTable, leastTableHeight } from "./table.ts";
import { wrapText } from "./wrap.ts";

/** Words and facts are no wider than can be read, pt. */
export const READING_WIDTH = 400;
const FACT_NAME_WIDTH = 130;
const FACT_PAD = 2;
/** A caution stands behind a thick rule. */
const CAUTION_INDENT = 10;
const CAUTION_RULE = 2;

function drawCaution(paper: Paper, parent: Structure, text: string): void {
  const beside = (top: number, bottom: number): void => paper.rule(LEFT + CAUTION_RULE / 2, top, LEFT + CAUTION_RULE / 2, bottom, PAPER_INKS.ink, CAUTION_RULE);
  flowText(paper, { parent, tag: "P", text, style: STYLES.words, x: LEFT + CAUTION_INDENT, width: READING_WIDTH - CAUTION_INDENT, after: 8, beside });
}

function factHeight(paper: Paper, { name, value }: Fact): number {
  return Math.max(textHeight(paper, name, STYLES.label, FACT_NAME_WIDTH), textHeight(paper, value, STYLES.words, TEXT_WIDTH - FACT_NAME_WIDTH - CAUTION_INDENT)) + 2 * FACT_PAD;
}

/** Names and values as a list, with a thin rule between; a value longer than a sheet goes on on the next. */
function drawFacts(paper: Paper, parent: Structure, facts: readonly Fact[]): void {
  const list = paper.part(parent, "L");
  for (const fact of facts) {
    paper.need(Math.min(factHeight(paper, fact), paper.wholeRoom));
    paper.rule(LEFT, paper.y, LEFT + TEXT_WIDTH, paper.y, PAPER_INKS.faint);
    paper.y += FACT_PAD;
    const item = paper.part(list, "LI"), top = paper.y, name = paper.part(item, "Lbl");
    const lines = wrapText(paper.faces, `${fact.name} `, STYLES.label, FACT_NAME_WIDTH);
    name.add(() => lines.forEach((line, i) => paper.line(line, LEFT, top + i * STYLES.label.leading, STYLES.label)));
    const sheet = paper.pageCount;
    flowText(paper, { parent: item, tag: "LBody", text: fact.value, style: STYLES.words, x: LEFT + FACT_NAME_WIDTH + CAUTION_INDENT, width: TEXT_WIDTH - FACT_NAME_WIDTH - CAUTION_INDENT });
    if (paper.pageCount === sheet) paper.y = Math.max(paper.y, top + lines.length * STYLES.label.leading);
    paper.y += FACT_PAD;
    item.end();
  }
  list.end();
  paper.y += 10;
}

/** What of the blocks from `i` on has to stand on one sheet: a heading never ends one. */
function leastHeight(paper: Paper, blocks: readonly ReportBlock[], i: number): number {
  const block = blocks[i];
  if (block === undefined) return 0;
  switch (block.kind) {
    case "words": return leastTextHeight(paper, block.text, STYLES.words, READING_WIDTH);
    case "caution": return leastTextHeight(paper, block.text, STYLES.words, READING_WIDTH - CAUTION_INDENT);
    case "heading": return textHeight(paper, block.text, STYLES.heading) + 10 + leastHeight(paper, blocks, i + 1);
    case "facts": return block.facts.slice(0, 2).reduce((sum, fact) => sum + Math.min(factHeight(paper, fact), 4 * STYLES.words.leading), 0);
    case "table": return leastTableHeight(paper, block.table);
    case "drawing": return drawingHeight(paper, block.drawing);
  }
}

function drawBlock(paper: Paper, parent: Structure, blocks: readonly ReportBlock[], i: number): void {
  const block = blocks[i] as ReportBlock;
  switch (block.kind) {
    case "words": flowText(paper, { parent, tag: "P", text: block.text, style: STYLES.words, width: READING_WIDTH, after: 8 }); break;
    case "caution": drawCaution(paper, parent, block.text); break;
    case "heading":
      paper.need(leastHeight(paper, blocks, i));
      if (!paper.isFresh) paper.y += 6;
      flowText(paper, { parent, tag: "H3", text: block.text, style: STYLES.heading, after: 4 });
      break;
    case "facts": drawFacts(paper, parent, block.facts); break;
    case "table": drawTable(paper, parent, block.table); break;
    case "drawing": drawDrawing(paper, parent, block.drawing); break;
  }
}

/** Sets a section; gives the sheet where it begins, from 0, and how far down. */
export function drawSection(paper: Paper, { title, blocks }: ReportSection): { readonly sheet: number; readonly y: number } {
  const before = paper.isFresh ? 0 : 14, titleHeight = textHeight(paper, title, STYLES.section);
  paper.need(before + titleHeight + 8 + leastHeight(paper, blocks, 0));
  if (!paper.isFresh) {
    paper.y += before;
    paper.rule(LEFT, paper.y, LEFT + TEXT_WIDTH, paper.y);
    paper.y += 6;
  }
  const part = paper.part(paper.root, "Sect"), began = { sheet: paper.pageCount - 1, y: paper.y };
  flowText(paper, { parent: part, tag: "H2", text: title, style: STYLES.section, after: 6 });
  blocks.forEach((_, i) => drawBlock(paper, part, blocks, i));
  part.end();
  return began;
}
