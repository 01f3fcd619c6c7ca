/** Tables that go on over sheets, their head on each. */
import { PAPER_INKS } from "../../model/drawingLooks.ts";
import { NO_ROWS } from "../../model/reportTitle.ts";
import type { ReportTable } from "../../model/report.ts";
import type { Columns } from "./columns.ts";
import { GAP, cellStyles, fitColumns } from "./columns.ts";
import { flowText, textHeight } from "./flow.ts";
import type { Paper, Structure, Style } from "./paper.ts";
import { LEFT, STYLES, TEXT_WIDTH } from "./paper.ts";
import { wrapText } from "./wrap.ts";

const PAD = 2;
const AFTER = 14;
/** So many rows stand under a head before the first break. */
const FIRST_ROWS = 2;

type Cells = readonly (readonly string[])[];

interface Grid {
  readonly table: ReportTable;
  readonly columns: Columns;
  readonly head: Cells;
  readonly headStyle: Style;
  readonly cellStyle: Style;
}

function gridOf(paper: Paper, table: ReportTable): Grid {
  const columns = fitColumns(paper.faces, table, TEXT_WIDTH), styles = cellStyles(columns);
  const [headStyle, cellStyle] = [{ ...styles.head, ink: PAPER_INKS.quiet }, { ...styles.cell, ink: PAPER_INKS.ink }];
  return { table, columns, headStyle, cellStyle, head: table.columns.map(({ title }, i) => wrapText(paper.faces, title, headStyle, columns.widths[i] as number)) };
}

function cellsOf(paper: Paper, { table, columns, cellStyle }: Grid, row: readonly string[]): Cells {
  return table.columns.map((_, i) => wrapText(paper.faces, row[i] ?? "", cellStyle, columns.widths[i] as number));
}

const linesOf = (cells: Cells): number => Math.max(1, ...cells.map((lines) => lines.length));
const heightOf = (cells: Cells, { columns }: Grid): number => linesOf(cells) * columns.leading + 2 * PAD;
const widthOf = ({ columns: { widths } }: Grid): number => widths.reduce((sum, each) => sum + each, 0) + GAP * (widths.length - 1);

/** Draws lines [from, to) of each cell; `cell` puts what is drawn into the structure. */
function drawCells(paper: Paper, grid: Grid, cells: Cells, [from, to]: readonly [number, number], style: Style, cell: (column: number, draw: () => void) => void): void {
  const top = paper.y + PAD;
  let x = LEFT;
  cells.forEach((lines, column) => {
    const width = grid.columns.widths[column] as number, isNumber = grid.table.columns[column]?.isNumber ?? false, at = x;
    const here = lines.slice(from, to);
    cell(column, () => { here.forEach((line, i) => paper.line(line, isNumber ? at + width : at, top + i * style.leading, style, isNumber ? "right" : "left")); });
    x += width + GAP;
  });
  paper.y = top + (to - from) * style.leading + PAD;
}

function ruleUnder(paper: Paper, grid: Grid, isHead: boolean): void {
  paper.rule(LEFT, paper.y, LEFT + widthOf(grid), paper.y, isHead ? PAPER_INKS.ink : PAPER_INKS.faint, isHead ? 0.7 : 0.5);
}

/** The head again, on a sheet where the table goes on: seen only, since it was heard. */
function repeatHead(paper: Paper, grid: Grid): void {
  paper.newSheet();
  paper.unheard(() => drawCells(paper, grid, grid.head, [0, linesOf(grid.head)], grid.headStyle, (_, draw) => draw()), "Pagination");
  ruleUnder(paper, grid, true);
}

function drawRow(paper: Paper, grid: Grid, body: Structure, row: readonly string[]): void {
  const cells = cellsOf(paper, grid, row), count = linesOf(cells), part = paper.part(body, "TR");
  const parts = cells.map((_, i) => paper.part(part, i === 0 ? "TH" : "TD", i === 0 ? { scope: "Row" } : {}));
  if (heightOf(cells, grid) > paper.room) repeatHead(paper, grid);
  for (let done = 0; done < count;) {
    const fit = Math.max(1, Math.floor((paper.room - 2 * PAD) / grid.columns.leading)), to = Math.min(count, done + fit);
    drawCells(paper, grid, cells, [done, to], grid.cellStyle, (column, draw) => { parts[column]?.add(draw); });
    done = to;
    if (done < count) repeatHead(paper, grid);
  }
  part.end();
  ruleUnder(paper, grid, false);
}

/** Height of a table's beginning, which is not broken. */
export function leastTableHeight(paper: Paper, table: ReportTable): number {
  const grid = gridOf(paper, table), first = table.rows.slice(0, FIRST_ROWS).map((row) => heightOf(cellsOf(paper, grid, row), grid));
  const rows = first.length === 0 ? STYLES.aside.leading : first.reduce((sum, each) => sum + each, 0);
  return textHeight(paper, table.caption, STYLES.caption) + heightOf(grid.head, grid) + Math.min(rows, paper.wholeRoom / 2);
}

/** Sets a table with its caption, head and rows. */
export function drawTable(paper: Paper, parent: Structure, table: ReportTable): void {
  paper.need(leastTableHeight(paper, table));
  const grid = gridOf(paper, table), part = paper.part(parent, "Table");
  flowText(paper, { parent: part, tag: "Caption", text: table.caption, style: STYLES.caption });
  if (table.columns.length > 0) {
    const row = paper.part(paper.part(part, "THead"), "TR"), heads = table.columns.map(({ title }) => (title === "" ? paper.part(row, "TD") : paper.part(row, "TH", { scope: "Column" })));
    drawCells(paper, grid, grid.head, [0, linesOf(grid.head)], grid.headStyle, (column, draw) => { heads[column]?.add(draw); });
    ruleUnder(paper, grid, true);
  }
  const body = paper.part(part, "TBody");
  for (const each of table.rows) drawRow(paper, grid, body, each);
  part.end();
  if (table.rows.length === 0) flowText(paper, { parent, tag: "P", text: NO_ROWS, style: STYLES.aside });
  paper.y += AFTER;
}
