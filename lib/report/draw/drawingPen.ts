/** What the report's drawings are drawn with: marks of a Drawing, places to a tenth of a unit. */
import type { Pen } from "../../formula/laneEdges.ts";
import type { DrawingMark, Fill, LineLook } from "../../model/report.ts";

const tenth = (value: number): number => Math.round(value * 10) / 10 + 0;

/** Collects paths of one look; a new one begins with each move. */
export class DrawingPen implements Pen {
  readonly #look: LineLook;
  readonly #fill: Fill;
  readonly #paths: { points: number[]; closed: boolean }[] = [];

  constructor(look: LineLook, fill: Fill = "none") {
    this.#look = look;
    this.#fill = fill;
  }

  moveTo(x: number, y: number): void { this.#paths.push({ points: [tenth(x), tenth(y)], closed: false }); }

  lineTo(x: number, y: number): void { this.#paths.at(-1)?.points.push(tenth(x), tenth(y)); }

  closePath(): void {
    const path = this.#paths.at(-1);
    if (path !== undefined) path.closed = true;
  }

  /** Paths of two points and more. */
  marks(): DrawingMark[] {
    return this.#paths.filter(({ points }) => points.length > 2).map(({ points, closed }) => ({ kind: "path", points, look: this.#look, fill: this.#fill, closed }));
  }
}

/** One path through x0, y0, x1 …; nothing for fewer than two points. */
export function pathMark(points: readonly number[], look: LineLook, { fill = "none", closed = false }: { readonly fill?: Fill; readonly closed?: boolean } = {}): DrawingMark[] {
  return points.length < 4 ? [] : [{ kind: "path", points: points.map(tenth), look, fill, closed }];
}

interface TextLook { readonly size?: number; readonly anchor?: "start" | "middle" | "end"; readonly bold?: boolean; readonly quiet?: boolean }

/** Text with its baseline at y. */
export function textMark(x: number, y: number, text: string, { size = 9, anchor = "start", bold = false, quiet = false }: TextLook = {}): DrawingMark {
  return { kind: "text", x: tenth(x), y: tenth(y), text, size, anchor, bold, quiet };
}
