/** How the marks of a report's drawing look, on a page and on paper alike. Lengths in the drawing's units, 1/72 inch on paper. */
import type { Pattern } from "./marks.ts";
import type { FrameLook } from "./frameView.ts";
import type { LineLook } from "./report.ts";
import type { Verdict } from "./result.ts";

export interface Inks { readonly ink: string; readonly quiet: string; readonly hair: string; readonly faint: string; readonly paste: string; readonly sheet: string }

/** On paper: black, thin rules, no ground (the print rules of app/sheet.css). */
export const PAPER_INKS: Inks = { ink: "#000000", quiet: "#333333", hair: "#aaaaaa", faint: "#dddddd", paste: "#e8e4d8", sheet: "#ffffff" };

/** Whoever draws has a colour for each: what is to be read, what stands behind it, and rules of a grid. */
export type LineInk = "ink" | "quiet" | "hair" | "sheet";
export interface LineStyle { readonly width: number; readonly dash: readonly number[]; readonly ink: LineInk }

/** Line types by ISO 128 with widths of about 1 : 2 between thin and thick; "none" is drawn by nobody. */
export const LINE_STYLES: Readonly<Record<LineLook, LineStyle | null>> = {
  thin: { width: 0.5, dash: [], ink: "quiet" },
  thick: { width: 1.1, dash: [], ink: "ink" },
  hidden: { width: 0.8, dash: [4, 2], ink: "ink" },
  centre: { width: 0.6, dash: [9, 2, 1.5, 2], ink: "ink" },
  grid: { width: 0.5, dash: [], ink: "hair" },
  dotted: { width: 1.1, dash: [1.1, 2], ink: "ink" },
  casing: { width: 2.8, dash: [], ink: "sheet" },
  none: null,
};

/** Lines over a camera frame on the screen, px; each on a casing. A gap is an outline, dashed as it is everywhere. */
export const FRAME_STYLES: Readonly<Record<FrameLook, Pick<LineStyle, "width" | "dash">>> = {
  planned: { width: 0.8, dash: [] },
  mask: { width: 1, dash: [2, 3] },
  hidden: { width: 1.3, dash: [6, 3] },
  present: { width: 2.2, dash: [] },
  absent: { width: 1.6, dash: [6, 3] },
  body: { width: 2, dash: [] },
  chosen: { width: 1, dash: [12, 3, 2, 3] },
};

/** A verdict without a pattern is a blank with an outline of its own; null: it has a pattern, or is the usual case and draws nothing. */
export const BLANK_OUTLINES: Readonly<Record<Verdict, Pick<LineStyle, "width" | "dash"> | null>> = {
  inBand: null,
  watch: { width: 0.7, dash: [5, 1.5, 1, 1.5] },
  under: null,
  over: null,
  gap: { width: 1, dash: [4, 2] },
  lifted: null,
  displaced: null,
  unmeasured: { width: 0.7, dash: [1.5, 2.5] },
  pending: null,
  removed: { width: 0.7, dash: [6, 1.5] },
};

/** Side of a letter's box, and the letter's size. */
export const TAG_BOX = 12;
export const TAG_LETTER = 9;

/** One stroke of a tile: an SVG path of absolute M, L, C and Z alone, filled where `solid`, else drawn. */
export interface TileStroke { readonly path: string; readonly solid: boolean }
/** Repeated side by side; px on a screen. */
export interface Tile { readonly width: number; readonly height: number; readonly strokes: readonly TileStroke[] }

/** Width of a tile's strokes, px, and how much smaller tiles are in a report's drawing. */
export const TILE_STROKE = 1.1;
export const TILE_SCALE = 0.6;

/** Of a circle's radius: handles of four cubic arcs (4/3 · tan(π/8)). */
const ARC = 0.5523;

function circle(x: number, y: number, r: number): string {
  const h = r * ARC;
  return `M${x + r} ${y}C${x + r} ${y + h} ${x + h} ${y + r} ${x} ${y + r}C${x - h} ${y + r} ${x - r} ${y + h} ${x - r} ${y}C${x - r} ${y - h} ${x - h} ${y - r} ${x} ${y - r}C${x + h} ${y - r} ${x + r} ${y - h} ${x + r} ${y}Z`;
}

/** Patterns as tiles; "none" has nothing in it. */
export const TILES: Readonly<Record<Pattern, Tile>> = {
  none: { width: 8, height: 8, strokes: [] },
  hatch: { width: 6, height: 6, strokes: [{ path: "M-1 7L7 -1M-1 1L1 -1M5 7L7 5", solid: false }] },
  crosshatch: { width: 6, height: 6, strokes: [{ path: "M-1 7L7 -1M-1 -1L7 7", solid: false }] },
  dots: { width: 6, height: 6, strokes: [{ path: circle(1.5, 1.5, 1), solid: true }, { path: circle(4.5, 4.5, 1), solid: true }] },
  rings: { width: 9, height: 9, strokes: [{ path: circle(4.5, 4.5, 2.6), solid: false }] },
  uprights: { width: 5, height: 8, strokes: [{ path: "M1.5 0L1.5 8", solid: false }] },
  waves: { width: 10, height: 6, strokes: [{ path: "M0 4C1.667 1.333 3.333 1 5 3C6.667 5 8.333 5.333 10 4", solid: false }] },
  squares: { width: 7, height: 7, strokes: [{ path: "M1.5 1.5L4.5 1.5L4.5 4.5L1.5 4.5Z", solid: true }] },
  zigzag: { width: 8, height: 6, strokes: [{ path: "M0 5L4 1L8 5", solid: false }] },
};
