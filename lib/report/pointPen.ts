/** A pen that gathers what it traces as marks of a drawing. */
import type { Pen } from "../formula/laneEdges.ts";
import type { DrawingMark, Fill, LineLook } from "../model/report.ts";

interface Line { readonly points: number[]; closed: boolean }

/** To a hundredth of a point, which no eye tells apart. */
const short = (value: number): number => Math.round(value * 100) / 100;

/** `marks`: every line that was traced so far, in this look and fill. */
export function pointPen(): Pen & { readonly marks: (look: LineLook, fill: Fill) => DrawingMark[] } {
  const lines: Line[] = [];
  return {
    moveTo: (x, y) => { lines.push({ points: [short(x), short(y)], closed: false }); },
    lineTo: (x, y) => { lines.at(-1)?.points.push(short(x), short(y)); },
    closePath: () => { const line = lines.at(-1); if (line !== undefined) line.closed = true; },
    marks: (look, fill) => lines.filter(({ points }) => points.length > 2).map(({ points, closed }): DrawingMark => ({ kind: "path", points, look, fill, closed })),
  };
}
