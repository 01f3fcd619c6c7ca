/** A drawing of a report as vectors: lines by ISO 128, verdicts by their patterns. */
import { BLANK_OUTLINES, LINE_STYLES, PAPER_INKS, TAG_BOX, TAG_LETTER, TILES, TILE_SCALE, TILE_STROKE } from "../../model/drawingLooks.ts";
import type { LineStyle } from "../../model/drawingLooks.ts";
import { VERDICT_MARKS } from "../../model/marks.ts";
import type { Drawing, DrawingMark } from "../../model/report.ts";
import { pictureKey } from "../../model/report.ts";
import { noPictureWords } from "../../model/reportTitle.ts";
import type { Verdict } from "../../model/result.ts";
import { cleanText } from "./faces.ts";
import type { Paper, Structure } from "./paper.ts";
import { LEFT, STYLES, TEXT_WIDTH } from "./paper.ts";
import { wrapText } from "./wrap.ts";

type Mark<K extends DrawingMark["kind"]> = Extract<DrawingMark, { kind: K }>;
type Color = Parameters<PDFKit.PDFDocument["fillColor"]>[0];

const AFTER = 14;
/** Lines at the edge are not cut along their middle. */
const EDGE = 1;
/** Over a drawing that fills a sheet its section's title and a heading have room. */
const HEADING_ROOM = 60;

/** A path's points as PDF operators, to a hundredth of a point. */
function pathOperators({ points, closed }: Mark<"path">): string {
  let text = "";
  for (let i = 0; i + 1 < points.length; i += 2) text += `${coordinate(points[i] as number)} ${coordinate(points[i + 1] as number)} ${i === 0 ? "m" : "l"}\n`;
  return closed ? `${text}h` : text.trimEnd();
}

function coordinate(value: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`A drawing's places are numbers: ${value}`);
  return String(Number(value.toFixed(2)));
}

/** A tile's path (absolute M, L, C, Z) as PDF operators, made smaller. */
function tileOperators(path: string): string {
  const letters = { M: "m", L: "l", C: "c", Z: "h" } as const;
  return [...path.matchAll(/([MLCZ])([^MLCZ]*)/g)].map(([, letter, numbers]) =>
    [...(numbers as string).trim().split(/\s+/).filter((each) => each !== "").map((each) => Number((Number(each) * TILE_SCALE).toFixed(3))), letters[letter as keyof typeof letters]].join(" ")).join("\n");
}

/** A verdict's pattern in its colour, as a fill. */
function patternFill(paper: Paper, verdict: Verdict): Color {
  const { pattern, light } = VERDICT_MARKS[verdict], { width, height, strokes } = TILES[pattern];
  let tiling = paper.patterns.get(verdict);
  if (tiling === undefined) {
    const [w, h] = [width * TILE_SCALE, height * TILE_SCALE];
    const stream = strokes.map(({ path, solid }) => `${tileOperators(path)}\n${solid ? "f" : "S"}`).join("\n");
    tiling = paper.doc.pattern([0, 0, w, h], w, h, `${TILE_STROKE * TILE_SCALE} w\n${stream}`);
    paper.patterns.set(verdict, tiling);
  }
  return [tiling, light] as unknown as Color;
}

function stroke(paper: Paper, operators: string, { width, dash }: Pick<LineStyle, "width" | "dash">, colour: string): void {
  const { doc } = paper;
  doc.lineWidth(width).strokeColor(colour);
  doc.addContent(`[${dash.join(" ")}] 0 d\n${operators}\nS`);
}

function drawPath(paper: Paper, mark: Mark<"path">): void {
  if (mark.points.length < 4) return;
  const { doc } = paper, operators = pathOperators(mark), line = LINE_STYLES[mark.look];
  const fill = mark.fill === "bone" ? PAPER_INKS.paste : mark.fill === "band" ? PAPER_INKS.faint : null;
  if (fill !== null) doc.fillColor(fill).addContent(`${operators}\nf`);
  else if (mark.fill !== "none") drawVerdict(paper, mark.fill as Verdict, operators);
  if (line !== null) stroke(paper, operators, line, PAPER_INKS[line.ink]);
}

function drawVerdict(paper: Paper, verdict: Verdict, operators: string): void {
  const outline = BLANK_OUTLINES[verdict];
  if (VERDICT_MARKS[verdict].pattern !== "none") paper.doc.fillColor(patternFill(paper, verdict)).addContent(`${operators}\nf`);
  if (outline !== null) stroke(paper, operators, outline, VERDICT_MARKS[verdict].light);
}

function drawText(paper: Paper, { x, y, text: given, size, anchor, bold, quiet }: Mark<"text">): void {
  const text = cleanText(given).replaceAll(/\s+/g, " "), weight = bold ? "bold" : "regular", wide = paper.faces.width(text, weight, size);
  paper.mark(text, x - (anchor === "start" ? 0 : anchor === "middle" ? wide / 2 : wide), y, { size, weight, ink: quiet ? PAPER_INKS.quiet : PAPER_INKS.ink });
}

function drawTag(paper: Paper, { x, y, verdict, letter }: Mark<"tag">): void {
  const { light } = VERDICT_MARKS[verdict];
  paper.doc.addContent("[] 0 d");
  paper.doc.lineWidth(1).rect(x - TAG_BOX / 2, y - TAG_BOX / 2, TAG_BOX, TAG_BOX).fillAndStroke(PAPER_INKS.sheet, light);
  paper.mark(letter, x - paper.faces.width(letter, "bold", TAG_LETTER) / 2, y + TAG_LETTER * 0.35, { size: TAG_LETTER, weight: "bold", ink: light });
}

/** A picture that was not handed in is kept no more: words stand in its place. */
function drawImage(paper: Paper, mark: Mark<"image">): void {
  const { doc } = paper, { x, y, width, height, file } = mark, bytes = paper.pictures.get(pictureKey(mark));
  if (bytes !== undefined) {
    doc.image(Buffer.from(bytes), x, y, { width, height });
    return;
  }
  doc.rect(x, y, width, height).fill(PAPER_INKS.faint);
  drawText(paper, { kind: "text", x: x + width / 2, y: y + height / 2, text: noPictureWords(file), size: 9, anchor: "middle", bold: false, quiet: true });
}

function drawMark(paper: Paper, mark: DrawingMark): void {
  switch (mark.kind) {
    case "image": drawImage(paper, mark); break;
    case "path": drawPath(paper, mark); break;
    case "text": drawText(paper, mark); break;
    case "tag": drawTag(paper, mark); break;
  }
}

interface Placed {
  readonly titleLines: readonly string[];
  readonly titleHeight: number;
  readonly scaleWords: string;
  /** 1: as it is; less where it is higher than a sheet. */
  readonly shrink: number;
}

/** Where its parts come to lie. */
function place(paper: Paper, drawing: Drawing): Placed {
  const { leading, weight, size } = STYLES.caption, titleWidth = TEXT_WIDTH - paper.faces.width(drawing.scaleWords, "regular", STYLES.aside.size) - 20;
  const titleLines = wrapText(paper.faces, drawing.title, { leading, weight, size }, Math.max(titleWidth, TEXT_WIDTH / 2)), titleHeight = titleLines.length * leading + 4;
  const shrink = Math.min(1, TEXT_WIDTH / drawing.width, (paper.wholeRoom - titleHeight - HEADING_ROOM) / drawing.height);
  return { titleLines, titleHeight, shrink, scaleWords: shrink < 1 ? `${drawing.scaleWords}, made smaller to ${(shrink * 100).toFixed(0)} %` : drawing.scaleWords };
}

/** Height that it takes, its title included. */
export function drawingHeight(paper: Paper, drawing: Drawing): number {
  const { titleHeight, shrink } = place(paper, drawing);
  return titleHeight + drawing.height * shrink;
}

/** Puts it on the sheet in one piece. One that is higher than a sheet is made smaller, and says so. */
export function drawDrawing(paper: Paper, parent: Structure, drawing: Drawing): void {
  const { doc } = paper, { titleLines, titleHeight, scaleWords, shrink } = place(paper, drawing);
  paper.need(titleHeight + drawing.height * shrink);
  const { y } = paper, top = y + titleHeight, bottom = top + drawing.height * shrink;
  const caption = paper.part(parent, "P");
  caption.add(() => {
    titleLines.forEach((line, i) => paper.line(`${line} `, LEFT, y + i * STYLES.caption.leading, STYLES.caption));
    paper.line(scaleWords, LEFT + TEXT_WIDTH, y, STYLES.aside, "right");
  });
  caption.end();
  const figure = paper.part(parent, "Figure", { alt: drawing.alt, bbox: [LEFT, top, LEFT + drawing.width * shrink, bottom] });
  figure.add(() => {
    doc.save().translate(LEFT, top).scale(shrink);
    doc.rect(-EDGE, -EDGE, drawing.width + 2 * EDGE, drawing.height + 2 * EDGE).clip().lineJoin("round");
    for (const mark of drawing.marks) drawMark(paper, mark);
    doc.restore();
  });
  figure.end();
  paper.y = bottom + AFTER;
}
