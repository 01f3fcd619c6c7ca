/** Finds a board in a picture: the corners of a checkerboard or the middles of a grid of dots, to a fraction of a pixel. */
import { cornerWindow, refineCorner } from "../kernel/cornerRefine.ts";
import { findDots } from "../kernel/dotBlobs.ts";
import { type GrayImage, halved } from "../kernel/grayImage.ts";
import { type FoundGrid, growGrid, quarterTurned } from "../kernel/gridGrow.ts";
import { findSaddles } from "../kernel/saddles.ts";
import type { BoardGiven } from "../model/calibration.ts";

export interface FoundBoard {
  readonly columns: number;
  readonly rows: number;
  /** px: x0, y0, x1, y1 …, row by row; columns run to the right more than to the left, unless the colours of the board tell its beginning. */
  readonly image: Float64Array;
  /** Of dots, px²; empty for corners. */
  readonly areasPx2: Float64Array;
  /** Quarter turns after which the board looks the same, 0 among them. */
  readonly alikeTurns: readonly number[];
}

/** Larger pictures are first searched at half their size, and so on. */
const SEARCH_PX = 1000;
/** Share of the way to the nearest neighbour that a corner's window reaches, and its bounds, px. */
const WINDOW_SHARE = 0.3, LEAST_WINDOW_PX = 3, MOST_WINDOW_PX = 25;
/** Two corners are neighbours where the directions to their bright sides are this far from parallel (cosine): they swap from one to the next. */
const MOST_ALIKE = 0.5;
/** Dots of a grid differ from their neighbours in area by no more than this factor. */
const MOST_AREA_FACTOR = 2;
/** Half-sizes of the surroundings that dots are told from, of the picture's longer side. */
const DOT_WINDOWS = [0.03, 0.08] as const;

type Size = Pick<BoardGiven, "columns" | "rows">;

const sizeWords = ({ columns, rows }: { readonly columns: number; readonly rows: number }): string => `${columns} × ${rows}`;

/** The board, or why there is none, in words. */
export function findBoard(image: GrayImage, board: BoardGiven, cornerWindowPx: number | null): FoundBoard | string {
  return board.pattern === "checkerboard" ? findCorners(image, board, cornerWindowPx) : findDotGrid(image, board);
}

function fits({ columns, rows }: FoundGrid, size: Size): boolean {
  if (size.columns === null || size.rows === null) return columns >= 3 && rows >= 3;
  return (columns === size.columns && rows === size.rows) || (columns === size.rows && rows === size.columns);
}

function noneWords(best: FoundGrid | null, size: Size, what: string): string {
  const wanted = size.columns === null || size.rows === null ? `a grid of ${what}` : `a grid of ${sizeWords({ columns: size.columns, rows: size.rows })} ${what}`;
  return best === null ? `expected ${wanted}, found none` : `expected ${wanted}, found ${sizeWords(best)}`;
}

function findCorners(image: GrayImage, size: Size, cornerWindowPx: number | null): FoundBoard | string {
  const levels = [image];
  while (Math.max(levels.at(-1)!.width, levels.at(-1)!.height) > SEARCH_PX) levels.push(halved(levels.at(-1)!));
  let best: FoundGrid | null = null;
  for (let level = levels.length - 1; level >= 0; level--) {
    const saddles = findSaddles(levels[level]!), scale = 2 ** level, x = saddles.map((s) => s.x * scale + (scale - 1) / 2), y = saddles.map((s) => s.y * scale + (scale - 1) / 2);
    const bright = (i: number): readonly [number, number] => [saddles[i]!.brightX, saddles[i]!.brightY];
    const grid = growGrid({ x, y }, (i, j) => Math.abs(bright(i)[0] * bright(j)[0] + bright(i)[1] * bright(j)[1]) < MOST_ALIKE);
    if (grid !== null && fits(grid, size)) {
      const { kept, alikeTurns } = turnedRight(grid, size, { x, isDarkFirst: (each) => isDarkFirst(each, x, y, bright) });
      return refined(image, kept, { x, y, cornerWindowPx, scale }, alikeTurns);
    }
    if (grid !== null && (best === null || grid.points.length > best.points.length)) best = grid;
  }
  return noneWords(best, size, "corners");
}

function refined(image: GrayImage, grid: FoundGrid, given: { readonly x: readonly number[]; readonly y: readonly number[]; readonly cornerWindowPx: number | null; readonly scale: number }, alikeTurns: readonly number[]): FoundBoard | string {
  const { x, y, cornerWindowPx, scale } = given, { columns, rows, points } = grid, places = new Float64Array(2 * points.length), out = new Float64Array(2), windows = new Map<number, Float64Array>();
  for (const [i, point] of points.entries()) {
    const halfPx = cornerWindowPx ?? Math.round(Math.min(MOST_WINDOW_PX, Math.max(LEAST_WINDOW_PX, scale, WINDOW_SHARE * nextPx(grid, i, x, y))));
    const window = windows.get(halfPx) ?? cornerWindow(halfPx);
    windows.set(halfPx, window);
    refineCorner(image, x[point]!, y[point]!, { window, out });
    if (!(out[0] === out[0])) return `expected a corner near (${Math.round(x[point]!)}, ${Math.round(y[point]!)}) px, found that its edges do not meet there`;
    places.set(out, 2 * i);
  }
  return { columns, rows, image: places, areasPx2: new Float64Array(0), alikeTurns };
}

/** From point i of the grid to the nearest of its up to four neighbours, px. */
function nextPx({ columns, rows, points }: FoundGrid, i: number, x: readonly number[], y: readonly number[]): number {
  const c = i % columns, r = Math.floor(i / columns), near = [c > 0 ? i - 1 : -1, c < columns - 1 ? i + 1 : -1, r > 0 ? i - columns : -1, r < rows - 1 ? i + columns : -1].filter((j) => j >= 0);
  return Math.min(...near.map((j) => Math.sqrt((x[points[j]!]! - x[points[i]!]!) ** 2 + (y[points[j]!]! - y[points[i]!]!) ** 2)));
}

interface Sight { readonly x: readonly number[]; readonly isDarkFirst: (grid: FoundGrid) => boolean }

/** The turn in which it has the size that was asked for and, where colours tell, begins with a dark square; of those the one whose rows run to the right most. */
function turnedRight(grid: FoundGrid, size: Size, { x, isDarkFirst: isDark }: Sight): { readonly kept: FoundGrid; readonly alikeTurns: readonly number[] } {
  const turns = [grid];
  for (let i = 1; i < 4; i++) turns.push(quarterTurned(turns[i - 1]!));
  const isWide = size.columns === null || size.rows === null; // of a size that is not given columns are the longer side
  const sized = turns.filter(({ columns, rows }) => (isWide ? columns >= rows : columns === size.columns && rows === size.rows)), dark = sized.filter(isDark);
  const alike = dark.length === 0 ? sized : dark, rightPx = ({ points }: FoundGrid): number => x[points[1]!]! - x[points[0]!]!;
  const kept = alike.reduce((best, each) => (rightPx(each) > rightPx(best) ? each : best)), at = turns.indexOf(kept);
  return { kept, alikeTurns: alike.map((each) => (turns.indexOf(each) - at + 4) % 4).sort((a, b) => a - b) };
}

/** Whether the first corner's bright sides lie across the way into the board. */
function isDarkFirst({ columns, points }: FoundGrid, x: readonly number[], y: readonly number[], bright: (i: number) => readonly [number, number]): boolean {
  const [first, right, below, inside] = [points[0]!, points[1]!, points[columns]!, points[columns + 1]!], [bx, by] = bright(first);
  const along = (from: number, to: number): number => Math.abs(bx * (x[to]! - x[from]!) + by * (y[to]! - y[from]!)) / Math.sqrt((x[to]! - x[from]!) ** 2 + (y[to]! - y[from]!) ** 2);
  return along(first, inside) < along(right, below);
}

function findDotGrid(image: GrayImage, size: Size): FoundBoard | string {
  let best: FoundGrid | null = null;
  for (const isBright of [false, true]) for (const share of DOT_WINDOWS) {
    const dots = findDots(image, { isBright, windowPx: Math.round(share * Math.max(image.width, image.height)) }), x = dots.map((d) => d.x), y = dots.map((d) => d.y);
    const grid = growGrid({ x, y }, (i, j) => Math.max(dots[i]!.areaPx2 / dots[j]!.areaPx2, dots[j]!.areaPx2 / dots[i]!.areaPx2) < MOST_AREA_FACTOR);
    if (grid !== null && fits(grid, size)) {
      const { kept: { columns, rows, points }, alikeTurns } = turnedRight(grid, size, { x, isDarkFirst: () => true });
      return { columns, rows, image: Float64Array.from(points.flatMap((p) => [x[p]!, y[p]!])), areasPx2: Float64Array.from(points, (p) => dots[p]!.areaPx2), alikeTurns };
    }
    if (grid !== null && (best === null || grid.points.length > best.points.length)) best = grid;
  }
  return noneWords(best, size, "dots");
}
