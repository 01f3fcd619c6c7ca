/** Text that flows down the sheets. */
import type { Paper, Structure, Style } from "./paper.ts";
import { LEFT, TEXT_WIDTH } from "./paper.ts";
import { wrapText } from "./wrap.ts";

export interface FlowOptions {
  readonly parent: Structure;
  /** Of the structure: P, H1, H2 …. */
  readonly tag: string;
  readonly text: string;
  readonly style: Style;
  readonly x?: number;
  readonly width?: number;
  /** Left free below. */
  readonly after?: number;
  /** Drawn beside each stretch of it on a sheet: from, to. */
  readonly beside?: (top: number, bottom: number) => void;
}

/** So many lines of a paragraph stay together at either side of a break; one of three is not broken. */
const TOGETHER = 2;

/** How many of `left` lines go on this sheet, of which `fit`; 0: none of them. */
export function linesHere(left: number, fit: number): number {
  if (left <= fit) return left;
  if (left <= TOGETHER + 1) return 0;
  const here = Math.min(fit, left - TOGETHER);
  return here < TOGETHER ? 0 : here;
}

/** Sets a paragraph, over as many sheets as it takes. */
export function flowText(paper: Paper, { parent, tag, text, style, x = LEFT, width = TEXT_WIDTH, after = 0, beside }: FlowOptions): void {
  const lines = wrapText(paper.faces, text, style, width), part = paper.part(parent, tag);
  for (let done = 0; done < lines.length;) {
    const fit = Math.floor(paper.room / style.leading);
    const here = Math.max(linesHere(lines.length - done, fit), paper.isFresh ? Math.min(fit, lines.length - done) : 0);
    if (here === 0) { paper.newSheet(); continue; }
    const top = paper.y;
    part.add(() => { for (let i = 0; i < here; i++) paper.line(lines[done + i] as string, x, top + i * style.leading, style); });
    paper.y = top + here * style.leading;
    beside?.(top, paper.y);
    done += here;
  }
  part.end();
  paper.y += after;
}

/** Height of a paragraph where it is not broken. */
export function textHeight(paper: Paper, text: string, style: Style, width: number = TEXT_WIDTH): number {
  return wrapText(paper.faces, text, style, width).length * style.leading;
}

/** Height of what has to stand on the sheet where a paragraph begins. */
export function leastTextHeight(paper: Paper, text: string, style: Style, width: number = TEXT_WIDTH): number {
  const lines = wrapText(paper.faces, text, style, width).length;
  return Math.min(lines, lines <= TOGETHER + 1 ? lines : TOGETHER) * style.leading;
}
