/** Beads of the lanes in view on a canvas; how lines look is said in review.css for paper and here for the screen, alike. */
import type { SheetStrand } from "../../../lib/model/sheet.ts";
import type { Inks } from "../../components/inks.ts";
import { GUTTER_LEFT_PX } from "./laneGeometry.ts";
import type { LaneScale } from "./laneGeometry.ts";
import type { Window } from "./LaneMarks.tsx";
import { TOP_PX, rowsInView } from "./LaneMarks.tsx";
import type { LaneView } from "./laneTrace.ts";
import { traceBody, traceCamera, traceHidden, traceMeasured, tracePlanned } from "./laneTrace.ts";

/** One lane as a picture of its own, for one scale, stretch in view and set of inks: while lanes scroll up and down none is drawn again. */
interface LanePicture { readonly strand: SheetStrand; readonly scale: LaneScale; readonly leftPx: number; readonly widthPx: number; readonly ratio: number; readonly inks: Inks; readonly canvas: HTMLCanvasElement }

/** By the column that stays the same when readings change a strand: its canvas is drawn on again, and not made again. */
const known = new WeakMap<Float32Array, LanePicture>();

function laneCanvas(strand: SheetStrand, { scale, leftPx, widthPx }: Window, inks: Inks): HTMLCanvasElement {
  const ratio = window.devicePixelRatio;
  const before = known.get(strand.sMm);
  if (before !== undefined && before.strand === strand && before.scale === scale && before.leftPx === leftPx && before.widthPx === widthPx && before.ratio === ratio && before.inks === inks) return before.canvas;
  const canvas = before?.canvas ?? document.createElement("canvas");
  Object.assign(canvas, { width: Math.round(widthPx * ratio), height: Math.round(scale.pitchPx * ratio) }); // which also clears it
  const context = canvas.getContext("2d");
  if (context !== null) {
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    drawLane(context, strand, { scale, topPx: 0, leftPx, viewPx: widthPx }, inks);
  }
  known.set(strand.sMm, { strand, scale, leftPx, widthPx, ratio, inks, canvas });
  return canvas;
}

/** Sizes the canvas to the view in device pixels and draws. The names' gutter stays free. */
export function drawLanes(canvas: HTMLCanvasElement, strands: readonly SheetStrand[], view: Window, inks: Inks): void {
  const ratio = window.devicePixelRatio;
  const [width, height] = [Math.round(view.widthPx * ratio), Math.round(view.heightPx * ratio)];
  if (canvas.width !== width || canvas.height !== height) {
    Object.assign(canvas, { width, height });
    Object.assign(canvas.style, { width: `${view.widthPx}px`, height: `${view.heightPx}px` });
  }
  const context = canvas.getContext("2d");
  if (context === null) return;
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.clearRect(0, 0, view.widthPx, view.heightPx);
  context.save();
  context.beginPath();
  context.rect(GUTTER_LEFT_PX - 9, 0, view.widthPx, view.heightPx);
  context.clip();
  const [from, to] = rowsInView(view, strands.length);
  strands.slice(from, to).forEach((strand, i) => {
    context.drawImage(laneCanvas(strand, view, inks), 0, TOP_PX + (from + i) * view.scale.pitchPx - view.topPx, view.widthPx, view.scale.pitchPx);
  });
  context.restore();
}

function drawLane(context: CanvasRenderingContext2D, strand: SheetStrand, lane: LaneView, inks: Inks): void {
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
  line(traceCamera, inks.ink, 1.8, [1.8, 3.2]);
}
