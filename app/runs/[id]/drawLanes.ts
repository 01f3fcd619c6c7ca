/** Beads of the lanes in view on a canvas; how lines look is said in review.css for paper and here for the screen, alike. */
import type { SheetStrand } from "../../../lib/model/sheet.ts";
import { readInks } from "../../components/inks.ts";
import { GUTTER_LEFT_PX } from "./laneGeometry.ts";
import type { Window } from "./LaneMarks.tsx";
import { TOP_PX, rowsInView } from "./LaneMarks.tsx";
import type { LaneView } from "./laneTrace.ts";
import { traceBody, traceHidden, traceMeasured, tracePlanned } from "./laneTrace.ts";

/** Sizes the canvas to the view in device pixels and draws. The names' gutter stays free. */
export function drawLanes(canvas: HTMLCanvasElement, strands: readonly SheetStrand[], view: Window): void {
  const ratio = window.devicePixelRatio;
  const [width, height] = [Math.round(view.widthPx * ratio), Math.round(view.heightPx * ratio)];
  if (canvas.width !== width || canvas.height !== height) {
    Object.assign(canvas, { width, height });
    Object.assign(canvas.style, { width: `${view.widthPx}px`, height: `${view.heightPx}px` });
  }
  const context = canvas.getContext("2d");
  if (context === null) return;
  const inks = readInks();
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.clearRect(0, 0, view.widthPx, view.heightPx);
  context.save();
  context.beginPath();
  context.rect(GUTTER_LEFT_PX - 9, 0, view.widthPx, view.heightPx);
  context.clip();
  const [from, to] = rowsInView(view, strands.length);
  strands.slice(from, to).forEach((strand, i) => {
    drawLane(context, strand, { scale: view.scale, topPx: TOP_PX + (from + i) * view.scale.pitchPx - view.topPx, leftPx: view.leftPx, viewPx: view.widthPx }, inks);
  });
  context.restore();
}

function drawLane(context: CanvasRenderingContext2D, strand: SheetStrand, lane: LaneView, inks: ReturnType<typeof readInks>): void {
  const line = (trace: typeof traceBody, ink: string, widthPx: number, dash: readonly number[] = []): void => {
    context.beginPath();
    trace(context, strand, lane);
    context.strokeStyle = ink;
    context.lineWidth = widthPx;
    context.setLineDash([...dash]);
    context.stroke();
  };
  context.beginPath();
  traceBody(context, strand, lane);
  context.fillStyle = inks.paste;
  context.fill();
  line(tracePlanned, inks.quiet, 0.7);
  line(traceMeasured, inks.ink, 1.8);
  line(traceHidden, inks.ink, 1.3, [6, 3]);
}
