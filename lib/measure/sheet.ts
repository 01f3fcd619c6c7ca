import type { StrandStations } from "../model/stations.ts";
import { dot, sub, type Vec3 } from "../kernel/vec.ts";

/** A coarse smooth sheet through the planned base of a chart's lowest layer: what heights are plausible, and how they slope. */
export interface Sheet {
  readonly stepMm: number;
  /** Nodes a millimetre. */
  readonly perMm: number;
  readonly nu: number; readonly nv: number;
  readonly heightMm: Float32Array; // Float32Array[v · nu + u]
  readonly slopeU: Float32Array; // Float32Array[v · nu + u], dh/du
  readonly slopeV: Float32Array; // Float32Array[v · nu + u], dh/dv
}

interface Axes { readonly origin: Vec3; readonly u: Vec3; readonly v: Vec3; readonly d: Vec3 }

const MAX_ANCHORS = 1200;
const MAX_NODES = 40_000;

/** Blends the stations' tangent planes, each weighted by the inverse fourth power of its distance. */
export function buildSheet(strands: readonly StrandStations[], axes: Axes, wideMm: number, highMm: number): Sheet {
  const lowest = Math.min(...strands.map((s) => s.layer));
  const anchors = anchorsOf(strands.filter((s) => s.layer === lowest), axes);
  const stepMm = Math.max(0.75, Math.sqrt(wideMm * highMm / MAX_NODES));
  const nu = Math.ceil(wideMm / stepMm) + 1, nv = Math.ceil(highMm / stepMm) + 1;
  const sheet: Sheet = { stepMm, perMm: 1 / stepMm, nu, nv, heightMm: new Float32Array(nu * nv), slopeU: new Float32Array(nu * nv), slopeV: new Float32Array(nu * nv) };
  const soft = stepMm * stepMm / 4;
  for (let j = 0; j < nv; j++) {
    for (let i = 0; i < nu; i++) {
      const pu = i * stepMm, pv = j * stepMm;
      let weight = 0, height = 0, gu = 0, gv = 0;
      for (let k = 0; k < anchors.length; k += 5) {
        const du = pu - (anchors[k] as number), dv = pv - (anchors[k + 1] as number);
        const d2 = du * du + dv * dv + soft;
        const w = 1 / (d2 * d2);
        const su = anchors[k + 3] as number, sv = anchors[k + 4] as number;
        weight += w;
        height += w * ((anchors[k + 2] as number) + su * du + sv * dv);
        gu += w * su;
        gv += w * sv;
      }
      const at = j * nu + i;
      sheet.heightMm[at] = height / weight;
      sheet.slopeU[at] = gu / weight;
      sheet.slopeV[at] = gv / weight;
    }
  }
  return sheet;
}

/** Packed [u, v, height, slopeU, slopeV] of planned bases, thinned to MAX_ANCHORS. */
function anchorsOf(strands: readonly StrandStations[], axes: Axes): Float64Array {
  const total = strands.reduce((n, s) => n + s.count, 0);
  const every = Math.max(1, Math.ceil(total / MAX_ANCHORS));
  const packed: number[] = [];
  let seen = 0;
  for (const s of strands) {
    for (let i = 0; i < s.count; i++) {
      if (seen++ % every !== 0) continue;
      const f = 12 * i;
      const n: Vec3 = [s.frames[f + 6] as number, s.frames[f + 7] as number, s.frames[f + 8] as number];
      const h = s.heightMm[i] as number;
      const p = sub([(s.frames[f] as number) - h * n[0], (s.frames[f + 1] as number) - h * n[1], (s.frames[f + 2] as number) - h * n[2]], axes.origin);
      const nd = Math.max(0.3, dot(n, axes.d));
      packed.push(dot(p, axes.u), dot(p, axes.v), dot(p, axes.d), -dot(n, axes.u) / nd, -dot(n, axes.v) / nd);
    }
  }
  return Float64Array.from(packed);
}

/** Index of the sheet's node nearest to (u, v) mm, clamped to the sheet. */
export function sheetNode(sheet: Sheet, uMm: number, vMm: number): number {
  let i = (uMm * sheet.perMm + 0.5) | 0, j = (vMm * sheet.perMm + 0.5) | 0;
  if (i < 0) i = 0; else if (i >= sheet.nu) i = sheet.nu - 1;
  if (j < 0) j = 0; else if (j >= sheet.nv) j = sheet.nv - 1;
  return j * sheet.nu + i;
}
