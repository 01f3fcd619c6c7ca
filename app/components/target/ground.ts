/** The target's surface as a quiet grid: a smooth surface through the planned base of the first layer, carried on a little and fading where no strand is planned. */
import { fitSurface } from "../../../lib/kernel/surfaceFit.ts";
import { dot, type Vec3 } from "../../../lib/kernel/vec.ts";
import type { SheetLayer } from "../../../lib/model/sheet.ts";
import type { TargetShape } from "../../../lib/model/targetShape.ts";
import { partKey } from "./chunk.ts";

export interface Ground {
  readonly positions: Float32Array; // Float32Array[3 · vertex]
  readonly strengths: Float32Array; // Float32Array[vertex], 1 under the strands, 0 where it ends
  readonly lines: Uint32Array; // pairs
  readonly faces: Uint32Array; // triples
}

/** Points that the surface is fitted through, at most; places along a grid line between two lines; lines across the longer side, about. */
const MOST_POINTS = 1500, FINE = 4, LINES = 22;
/** How far it is carried on, as a share of the longer side. */
const MARGIN = 0.16;
/** It lies so much under the planned base, in bead heights, so that it hides no bead. */
const SINK = 0.35;
/** A fit that misses the planned base by more than this, in bead heights, is no picture of the target. */
const MOST_MISS = 0.4;

interface BasePoints { readonly x: Float64Array; readonly y: Float64Array; readonly z: Float64Array; readonly heightMm: number }

/** null: the layer goes round, or lies on no one smooth surface. */
export function makeGround(shape: TargetShape, layer: SheetLayer): Ground | null {
  const points = basePoints(shape, layer), fit = points === null ? null : fitSurface(points.x, points.y, points.z);
  if (points === null || fit === null || fit.rms > MOST_MISS * points.heightMm) return null;
  const { x, y, heightMm } = points, sinkMm = SINK * heightMm + fit.rms, { right, up, normal } = layer.frame;
  const [left, farX, low, farY] = [Math.min(...x), Math.max(...x), Math.min(...y), Math.max(...y)], longMm = Math.max(farX - left, farY - low), marginMm = MARGIN * longMm;
  const stepMm = niceStep((longMm + 2 * marginMm) / LINES) / FINE, columns = gridCount(left, farX, marginMm, stepMm), rows = gridCount(low, farY, marginMm, stepMm);
  const positions = new Float32Array(3 * columns * rows), strengths = new Float32Array(columns * rows), nearest = nearestPoint(x, y);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const u = (left + farX) / 2 + (c - (columns - 1) / 2) * stepMm, v = (low + farY) / 2 + (r - (rows - 1) / 2) * stepMm, at = r * columns + c, n = fit.heightAt(u, v) - sinkMm;
      for (let k = 0; k < 3; k++) positions[3 * at + k] = u * (right[k] as number) + v * (up[k] as number) + n * (normal[k] as number);
      strengths[at] = Math.max(0, Math.min(1, 1.25 - 1.25 * nearest(u, v) / marginMm));
    }
  }
  return { positions, strengths, ...gridIndices(strengths, columns, rows) };
}

function basePoints(shape: TargetShape, layer: SheetLayer): BasePoints | null {
  const frames = new Map(shape.strands.map((strand) => [partKey(strand), strand])), total = layer.strands.reduce((sum, { sMm }) => sum + sMm.length, 0), every = Math.max(1, Math.ceil(total / MOST_POINTS));
  const { right, up, normal } = layer.frame, x: number[] = [], y: number[] = [], z: number[] = [];
  let heightMm = 0, k = 0;
  for (const strand of layer.strands) {
    const at = frames.get(partKey(strand));
    if (at === undefined || at.positionsMm.length !== 3 * strand.sMm.length) continue;
    for (let i = 0; i < strand.sMm.length; i++) {
      if (k++ % every !== 0) continue;
      const h = strand.plannedHeightMm[i] as number, base = [0, 1, 2].map((axis) => (at.positionsMm[3 * i + axis] as number) - h * (at.normals[3 * i + axis] as number)) as unknown as Vec3;
      x.push(dot(base, right)); y.push(dot(base, up)); z.push(dot(base, normal));
      heightMm = Math.max(heightMm, h);
    }
  }
  return x.length === 0 ? null : { x: Float64Array.from(x), y: Float64Array.from(y), z: Float64Array.from(z), heightMm };
}

/** 1, 2 or 5 times a power of ten, not below `mm`. */
export function niceStep(mm: number): number {
  const ten = 10 ** Math.floor(Math.log10(mm));
  return [1, 2, 5, 10].map((k) => k * ten).find((step) => step >= mm * 0.999) as number;
}

/** Vertices across, so that lines stand at every FINE-th from either edge. */
function gridCount(from: number, to: number, marginMm: number, stepMm: number): number {
  return FINE * Math.ceil((to - from + 2 * marginMm) / (FINE * stepMm)) + 1;
}

/** Distance to the nearest point, by looking at all of them. */
function nearestPoint(x: Float64Array, y: Float64Array): (u: number, v: number) => number {
  return (u, v) => {
    let least = Infinity;
    for (let i = 0; i < x.length; i++) least = Math.min(least, (u - (x[i] as number)) ** 2 + (v - (y[i] as number)) ** 2);
    return Math.sqrt(least);
  };
}

function gridIndices(strengths: Float32Array, columns: number, rows: number): Pick<Ground, "lines" | "faces"> {
  const lines: number[] = [], faces: number[] = [], isThere = (...at: number[]): boolean => at.every((v) => (strengths[v] as number) > 0);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const at = r * columns + c, next = at + 1, over = at + columns;
      if (r % FINE === 0 && c + 1 < columns && isThere(at, next)) lines.push(at, next);
      if (c % FINE === 0 && r + 1 < rows && isThere(at, over)) lines.push(at, over);
      if (c + 1 < columns && r + 1 < rows && isThere(at, next, over, over + 1)) faces.push(at, next, over, over, next, over + 1);
    }
  }
  return { lines: Uint32Array.from(lines), faces: Uint32Array.from(faces) };
}
