/** The lines of unrolled strands, traced with any pen: a canvas on the screen, path text on paper. Thinned to what the scale can show. */
import { laneEdges, type Pen } from "../../../lib/formula/laneEdges.ts";
import { extremeRuns, firstAtLeast } from "../../../lib/kernel/extremes.ts";
import type { SheetStrand } from "../../../lib/model/sheet.ts";
import type { LaneScale } from "./laneGeometry.ts";
import { GUTTER_LEFT_PX, xPx } from "./laneGeometry.ts";

/** Thinned to two points in so many px. */
const BUCKET_PX = 2;

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

function traceFlanks(pen: Pen, flanks: readonly Float32Array[], strand: SheetStrand, view: LaneView): void {
  const { runs, x } = tracer(strand, view);
  for (const values of flanks) for (const run of runs(values)) traceLine(pen, run, values, x, above(view));
}

/** Flanks that a neighbour hides. */
export function traceHidden(pen: Pen, strand: SheetStrand, view: LaneView): void {
  const { upHidden, downHidden } = laneEdges(strand);
  traceFlanks(pen, [upHidden, downHidden], strand, view);
}

/** Flanks of what the camera alone saw. */
export function traceCamera(pen: Pen, strand: SheetStrand, view: LaneView): void {
  const { upCamera, downCamera } = laneEdges(strand);
  traceFlanks(pen, [upCamera, downCamera], strand, view);
}
