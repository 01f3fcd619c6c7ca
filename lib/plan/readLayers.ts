import { InputError } from "../base/errors.ts";
import type { Vec3 } from "../kernel/vec.ts";
import type { BeadShape } from "../model/job.ts";
import type { PlanStrand } from "../model/plan.ts";
import { completeBead, packStrand, type Bead } from "./readStrand.ts";

/** A move with material: from where the step before ended to `to`. `heightMm` NaN: no comment gave it. Lengths mm, in plan. */
export interface LaidStep { readonly line: number; readonly to: Vec3; readonly axis: Vec3; readonly heightMm: number; readonly speedMmS: number; readonly areaMm2: number }
/** One nozzle-on to nozzle-off path; `layer` null: no comment opened one yet. */
export interface LaidStrand { readonly line: number; readonly layer: number | null; readonly start: Vec3; readonly startAxis: Vec3; readonly steps: LaidStep[] }

/** A rise of Z that opens a layer, mm: more than rounding of the program. */
const RISE_MM = 1e-3;

/**
 * Numbers the strands and gives them their beads. Layers are those of the comments; without any, a strand that lies wholly above
 * the one before opens a layer. A height that no comment gives is the rise of the layer's first point over that of the layer
 * before; the first layer rises from Z = 0. Width follows from the material by volume conservation.
 */
export function layStrands(laid: readonly LaidStrand[], shape: BeadShape, flowWord: string, file: string): PlanStrand[] {
  if (laid.length === 0) throw new InputError("plan.noStrand", "at least one move with material", "none", { file });
  const layers = laid.some((strand) => strand.layer !== null) ? layersOfComments(laid, file) : layersOfRise(laid);
  const out: PlanStrand[] = [];
  let [layer, strand, floorMm, layerMm] = [0, 0, 0, 0];
  laid.forEach((path, i) => {
    const next = layers[i] as number;
    strand = next === layer ? strand + 1 : 1;
    if (next !== layer) [floorMm, layerMm] = [layerMm, path.start[2]];
    layer = next;
    const beads = path.steps.map((step) => beadOf(step, layerMm - floorMm, shape, flowWord, file));
    const points = [{ line: path.line, to: path.start, axis: path.startAxis }, ...path.steps];
    const waypoints = points.map((point, k) => ({ line: point.line, point: point.to, normal: point.axis, bead: beads[Math.min(k, beads.length - 1)] as Bead }));
    out.push(packStrand({ layer, strand, approach: 1, line: path.line, waypoints }, file));
  });
  return out;
}

function beadOf(step: LaidStep, riseMm: number, shape: BeadShape, flowWord: string, file: string): Bead {
  const heightMm = Number.isNaN(step.heightMm) ? riseMm : step.heightMm;
  const place = { file, line: step.line };
  if (!(heightMm > 0)) throw new InputError("plan.noBead", "a comment (height H), or a layer that rises", `a rise of ${heightMm} mm`, { ...place, key: "height" });
  const bead = { widthMm: Number.NaN, heightMm, speedMmS: step.speedMmS, flowMm3S: step.areaMm2 * step.speedMmS };
  return completeBead(shape, bead, place, flowWord);
}

function layersOfComments(laid: readonly LaidStrand[], file: string): number[] {
  let layer = 0;
  return laid.map((strand) => {
    const next = strand.layer ?? 0;
    if (next !== layer && next !== layer + 1) {
      throw new InputError("plan.order", layer === 0 ? "layer 1 first" : `layer ${layer} or ${layer + 1} after layer ${layer}`, `layer ${next}`, { file, line: strand.line, key: "layer" });
    }
    if (next === 0) throw new InputError("plan.order", "a comment (layer 1) before the first strand", "none", { file, line: strand.line, key: "layer" });
    layer = next;
    return layer;
  });
}

function layersOfRise(laid: readonly LaidStrand[]): number[] {
  let layer = 1;
  let topMm = Infinity;
  return laid.map((strand) => {
    const heights = [strand.start[2], ...strand.steps.map((step) => step.to[2])];
    if (Math.min(...heights) > topMm + RISE_MM) layer++;
    topMm = Math.max(...heights);
    return layer;
  });
}
