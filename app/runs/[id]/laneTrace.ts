/** The lines of unrolled strands, traced with any pen: a canvas on the screen, path text on paper. Thinned to what the scale can show. */
import { extremeRuns, firstAtLeast } from "../../../lib/kernel/extremes.ts";
import { VERDICTS } from "../../../lib/model/result.ts";
import type { SheetStrand } from "../../../lib/model/sheet.ts";
import type { LaneScale } from "./laneGeometry.ts";
import { GUTTER_LEFT_PX, xPx } from "./laneGeometry.ts";

/** What draws: a CanvasRenderingContext2D or Path2D is one. */
export interface Pen { moveTo(x: number, y: number): void; lineTo(x: number, y: number): void; closePath(): void }

/** A pen that writes the d of an SVG path. */
export function pathPen(): Pen & { readonly text: () => string } {
  const parts: string[] = [];
  const put = (letter: string) => (x: number, y: number): void => { parts.push(`${letter}${x.toFixed(1)} ${y.toFixed(1)}`); };
  return { moveTo: put("M"), lineTo: put("L"), closePath: () => { parts.push("Z"); }, text: () => parts.join("") };
}

/** Thinned to two points in so many px. */
const BUCKET_PX = 2;
const GAP = VERDICTS.indexOf("gap");

/** Flanks and top of every station, mm; NaN: not drawn. Left of travel is up, so y = −b. */
export interface LaneEdges {
  readonly up: Float32Array;
  readonly down: Float32Array;
  /** Flanks that were seen; and those that a neighbour hides, which stand where the measured area would put them, with the seen ones beside them. */
  readonly upSeen: Float32Array;
  readonly downSeen: Float32Array;
  readonly upHidden: Float32Array;
  readonly downHidden: Float32Array;
  /** Measured height. */
  readonly top: Float32Array;
  readonly plannedUp: Float32Array;
  readonly plannedDown: Float32Array;
}

const known = new WeakMap<SheetStrand, LaneEdges>();

/** Made once a strand. Nothing is drawn where nothing was seen, nor a bead where next to nothing lies. */
export function laneEdges(strand: SheetStrand): LaneEdges {
  const made = known.get(strand) ?? makeEdges(strand);
  known.set(strand, made);
  return made;
}

function makeEdges(strand: SheetStrand): LaneEdges {
  const count = strand.sMm.length;
  const column = (): Float32Array => new Float32Array(count).fill(Number.NaN);
  const edges = { up: column(), down: column(), upSeen: column(), downSeen: column(), upHidden: column(), downHidden: column(), top: column(), plannedUp: column(), plannedDown: column() };
  for (let i = 0; i < count; i++) {
    const planned = strand.plannedWidthMm[i] as number;
    edges.plannedUp[i] = -planned / 2;
    edges.plannedDown[i] = planned / 2;
    const ratio = strand.areaRatio[i] as number, width = strand.widthMm[i] as number, offset = strand.offsetMm[i] as number;
    if (Number.isNaN(ratio) || strand.verdict[i] === GAP) continue;
    edges.top[i] = strand.heightMm[i] as number;
    const seen = !Number.isNaN(width);
    const middle = Number.isNaN(offset) ? 0 : -offset, half = (seen ? width : planned * Math.max(0, ratio)) / 2;
    edges.up[i] = middle - half;
    edges.down[i] = middle + half;
    (seen ? edges.upSeen : edges.upHidden)[i] = middle - half;
    (seen ? edges.downSeen : edges.downHidden)[i] = middle + half;
  }
  for (const [hidden, all] of [[edges.upHidden, edges.up], [edges.downHidden, edges.down]] as const) joinSeen(hidden, all);
  return edges;
}

/** A dashed flank reaches to the seen stations beside it. */
function joinSeen(hidden: Float32Array, all: Float32Array): void {
  const alone = hidden.map((value) => (Number.isNaN(value) ? 0 : 1));
  for (let i = 0; i < all.length; i++) {
    if (alone[i] === 0 && (alone[i - 1] === 1 || alone[i + 1] === 1)) hidden[i] = all[i] as number;
  }
}

/** A lane in the picture: where its top stands, and which lengths are in view. */
export interface LaneView { readonly scale: LaneScale; readonly topPx: number; readonly leftPx: number; readonly viewPx: number }

/** Stations in view, and one more on either side, as [from, to). */
export function stationsInView(strand: SheetStrand, { scale, leftPx, viewPx }: LaneView): readonly [number, number] {
  const mm = (px: number): number => (px - GUTTER_LEFT_PX) / scale.pxPerMm;
  return [Math.max(0, firstAtLeast(strand.sMm, mm(leftPx)) - 1), Math.min(strand.sMm.length, firstAtLeast(strand.sMm, mm(leftPx + viewPx)) + 1)];
}

function tracer(strand: SheetStrand, view: LaneView): { runs: (values: Float32Array) => number[][]; x: (i: number) => number } {
  const [from, to] = stationsInView(strand, view);
  const step = BUCKET_PX / view.scale.pxPerMm;
  return { runs: (values) => extremeRuns(strand.sMm, values, { from, to, step }), x: (i) => xPx(view.scale, strand.sMm[i] as number) - view.leftPx };
}

type Y = (valueMm: number) => number;

function traceLine(pen: Pen, run: readonly number[], values: Float32Array, x: (i: number) => number, y: Y, begin = true): void {
  const last = run.length - 1;
  for (let k = 0; k <= last; k++) {
    const i = run[k] as number, value = values[i] as number;
    if (k === 0 && begin) pen.moveTo(x(i), y(value));
    else if (k === last || value !== values[run[k - 1] as number] || value !== values[run[k + 1] as number]) pen.lineTo(x(i), y(value)); // within a level stretch nothing is drawn
  }
}

/** Closed outline between two edges; a lone station is a stroke, which has no body. */
function traceBetween(pen: Pen, upper: Float32Array, lower: Float32Array, strand: SheetStrand, view: LaneView, y: Y): void {
  const { runs, x } = tracer(strand, view);
  const below = runs(lower);
  runs(upper).forEach((run, r) => {
    traceLine(pen, run, upper, x, y);
    traceLine(pen, (below[r] as number[]).toReversed(), lower, x, y, false);
    pen.closePath();
  });
}

function above({ scale, topPx }: LaneView): Y {
  return (mm) => topPx + scale.pathPx + mm * scale.acrossPxPerMm;
}

/** null: lanes show strands from above alone. */
function side({ scale: { basePx, acrossPxPerMm }, topPx }: LaneView): Y | null {
  return basePx === null ? null : (mm) => topPx + basePx - mm * acrossPxPerMm;
}

/** The bead's body from above and from the side. */
export function traceBody(pen: Pen, strand: SheetStrand, view: LaneView): void {
  const edges = laneEdges(strand);
  traceBetween(pen, edges.up, edges.down, strand, view, above(view));
  const { runs, x } = tracer(strand, view);
  const y = side(view);
  if (y === null) return;
  for (const run of runs(edges.top)) {
    traceLine(pen, run, edges.top, x, y);
    pen.lineTo(x(run.at(-1) as number), y(0));
    pen.lineTo(x(run[0] as number), y(0));
    pen.closePath();
  }
}

/** Planned flanks, planned height and the planned base, thin, whether laid or not. */
export function tracePlanned(pen: Pen, strand: SheetStrand, view: LaneView): void {
  const edges = laneEdges(strand);
  const { runs, x } = tracer(strand, view);
  for (const values of [edges.plannedUp, edges.plannedDown]) for (const run of runs(values)) traceLine(pen, run, values, x, above(view));
  const y = side(view);
  if (y === null) return;
  for (const run of runs(strand.plannedHeightMm)) {
    traceLine(pen, run, strand.plannedHeightMm, x, y);
    pen.moveTo(x(run[0] as number), y(0));
    pen.lineTo(x(run.at(-1) as number), y(0));
  }
}

/** Measured flanks and height. A lone station is a stroke across. */
export function traceMeasured(pen: Pen, strand: SheetStrand, view: LaneView): void {
  const { upSeen, downSeen, top } = laneEdges(strand);
  const { runs, x } = tracer(strand, view);
  const down = runs(downSeen);
  runs(upSeen).forEach((run, r) => {
    traceLine(pen, run, upSeen, x, above(view));
    if (run.length === 1) pen.lineTo(x(run[0] as number), above(view)(downSeen[run[0] as number] as number));
    else traceLine(pen, down[r] as number[], downSeen, x, above(view));
  });
  const y = side(view);
  if (y === null) return;
  for (const run of runs(top)) {
    traceLine(pen, run, top, x, y);
    if (run.length === 1) pen.lineTo(x(run[0] as number), y(0));
  }
}

/** Flanks that a neighbour hides. */
export function traceHidden(pen: Pen, strand: SheetStrand, view: LaneView): void {
  const { upHidden, downHidden } = laneEdges(strand);
  const { runs, x } = tracer(strand, view);
  for (const values of [upHidden, downHidden]) for (const run of runs(values)) traceLine(pen, run, values, x, above(view));
}
