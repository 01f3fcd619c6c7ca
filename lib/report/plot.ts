/** Marks that drawings of numbers are put together from, in the drawing's own units. */
import type { DrawingMark, Fill, LineLook } from "../model/report.ts";

interface TextLook { readonly size?: number; readonly anchor?: "start" | "middle" | "end"; readonly bold?: boolean; readonly quiet?: boolean }

export function textMark(x: number, y: number, text: string, { size = 8, anchor = "start", bold = false, quiet = false }: TextLook = {}): DrawingMark {
  return { kind: "text", x, y, text, size, anchor, bold, quiet };
}

/** `points`: x0, y0, x1, y1 …. */
export function lineMark(points: readonly number[], look: LineLook): DrawingMark {
  return { kind: "path", points, look, fill: "none", closed: false };
}

export interface Box { readonly x: number; readonly y: number; readonly width: number; readonly height: number }

export function boxMark({ x, y, width, height }: Box, look: LineLook, fill: Fill = "none"): DrawingMark {
  return { kind: "path", points: [x, y, x + width, y, x + width, y + height, x, y + height], look, fill, closed: true };
}

/** Linear from [low, high] to [from, to]; both ends of a range without width come to the middle. */
export function scaleOf(low: number, high: number, from: number, to: number): (value: number) => number {
  return (value) => (high > low ? from + (value - low) / (high - low) * (to - from) : (from + to) / 2);
}

/** Decimals that show three digits of a spread, 2 to 7; 3 where nothing varies. */
export function decimalsFor(spread: number): number {
  return spread > 0 && Number.isFinite(spread) ? Math.min(7, Math.max(2, 2 - Math.floor(Math.log10(spread)))) : 3;
}

/** "−0.26": a true minus; "–" where there is no number. */
export function numberText(value: number, decimals: number): string {
  if (!Number.isFinite(value)) return "–";
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}
