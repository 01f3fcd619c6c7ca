import { closeMask, cropMask, dilateMask, eachComponent, openMask } from "../kernel/mask.ts";
import { robustPlane, type PlaneFit } from "../kernel/planeFit.ts";
import type { Body } from "../model/body.ts";
import type { Point } from "../model/result.ts";
import type { StrandStations } from "../model/stations.ts";
import { IN_WINDOW, type Chart } from "./chart.ts";
import { sheetNode } from "./sheet.ts";

export interface BodySearch {
  readonly layer: number;
  /** Planned bead of the layer: what counts as a body is measured against it. */
  readonly widthMm: number; readonly heightMm: number;
  readonly sigmaMm: number;
  readonly leastAreaMm2: number;
}

/** What is looked for off the path of a layer: against its mean planned bead, from the job's stray area or half a bead width squared. */
export function bodySearch(strands: readonly StrandStations[], c: { layer: number; sigmaMm: number; strayAreaMm2: number | null }): BodySearch {
  const mean = (of: (s: StrandStations) => Float64Array): number => strands.reduce((sum, s) => sum + (of(s)[0] as number), 0) / strands.length;
  const widthMm = mean((s) => s.widthMm);
  return { layer: c.layer, widthMm, heightMm: mean((s) => s.heightMm), sigmaMm: c.sigmaMm, leastAreaMm2: c.strayAreaMm2 ?? 0.5 * widthMm * widthMm };
}

/** Where the support was never seen its level is a plane through what is bare in squares of this size, mm. */
const BACKGROUND_MM = 4;
const OUTLINE_POINTS = 64;

/**
 * Material on the support outside every laid strand's window: cells over 0.3 of the bead's height (and 5 σ) above it, thin
 * slivers taken out (a layer's edge seen a little shifted is one), joined to components of at least `leastAreaMm2`.
 */
export function findBodies(chart: Chart, search: BodySearch): Body[] {
  const { mask, over } = overSupport(chart, Math.max(0.3 * search.heightMm, 5 * search.sigmaMm), search.sigmaMm);
  const radius = Math.max(1, Math.round(0.12 * search.widthMm / chart.cellMm));
  const join = Math.max(1, Math.round(0.25 * search.widthMm / chart.cellMm));
  const part = cropMask(mask, chart.nu, chart.nv, radius + join + 1); // nearly always a small part of the map, or none
  if (part === null) return [];
  const { width, height } = part;
  // single cells that were never seen are no holes in a body
  const opened = openMask(closeMask(part.mask, width, height, 1), width, height, radius);
  const bodies: Body[] = [];
  // pieces less than half a bead apart are one body seen in parts
  eachComponent(dilateMask(opened, width, height, join), width, height, (region) => {
    const cells = region.filter((cell) => opened[cell] === 1).map((cell) => (part.y0 + Math.floor(cell / width)) * chart.nu + part.x0 + cell % width);
    const body = bodyOf(chart, cells, over, search.layer);
    if (body.areaMm2 >= search.leastAreaMm2) bodies.push(body);
  });
  return bodies;
}

/** Cells that stand more than `threshold` over the support along its normal, and how far (along the chart's direction). */
function overSupport(chart: Chart, threshold: number, sigmaMm: number): { mask: Uint8Array; over: Float32Array } {
  const mask = new Uint8Array(chart.top.length);
  const over = new Float32Array(chart.top.length);
  const background = backgroundOf(chart, sigmaMm);
  for (let v = 0, i = 0; v < chart.nv; v++) {
    for (let u = 0; u < chart.nu; u++, i++) {
      const top = chart.top[i] as number;
      if (top !== top || ((chart.mark[i] as number) & IN_WINDOW) !== 0) continue;
      const seen = chart.support[i] as number;
      const d = top - (seen === seen ? seen : background(u, v));
      if (!(d > threshold)) continue;
      if (d * cosine(chart, u, v) <= threshold) continue;
      over[i] = d;
      mask[i] = 1;
    }
  }
  return { mask, over };
}

function cosine(chart: Chart, u: number, v: number): number {
  const node = sheetNode(chart.sheet, u * chart.cellMm, v * chart.cellMm);
  return 1 / Math.hypot(1, chart.sheet.slopeU[node] as number, chart.sheet.slopeV[node] as number);
}

/** Level of an unseen support: a robust plane through the bare tops of the square round a cell. NaN where few were seen. */
function backgroundOf(chart: Chart, sigmaMm: number): (u: number, v: number) => number {
  const side = Math.max(4, Math.round(BACKGROUND_MM / chart.cellMm));
  const across = Math.ceil(chart.nu / side);
  const planes = new Map<number, PlaneFit | null>();
  return (u, v) => {
    const square = Math.floor(v / side) * across + Math.floor(u / side);
    let plane = planes.get(square);
    if (plane === undefined) {
      plane = squarePlane(chart, (square % across) * side, Math.floor(square / across) * side, side, sigmaMm);
      planes.set(square, plane);
    }
    return plane === null ? Number.NaN : plane.a + plane.b * u + plane.c * v;
  };
}

function squarePlane(chart: Chart, u0: number, v0: number, side: number, sigmaMm: number): PlaneFit | null {
  const every = Math.max(1, Math.floor(side / 24));
  const most = Math.ceil(side / every) ** 2;
  const x = new Float64Array(most), y = new Float64Array(most), z = new Float64Array(most);
  let n = 0;
  for (let v = v0; v < Math.min(chart.nv, v0 + side); v += every) {
    for (let u = u0; u < Math.min(chart.nu, u0 + side); u += every) {
      const i = v * chart.nu + u;
      const top = chart.top[i] as number;
      if (top !== top || ((chart.mark[i] as number) & IN_WINDOW) !== 0) continue;
      x[n] = u; y[n] = v; z[n++] = top;
    }
  }
  return n >= most / 8 ? robustPlane(x, y, z, n, sigmaMm) : null;
}

function bodyOf(chart: Chart, cells: readonly number[], over: Float32Array, layer: number): Body {
  const cellArea = chart.cellMm * chart.cellMm;
  let area = 0, rise = 0, known = 0, su = 0, sv = 0, sh = 0;
  for (const cell of cells) {
    const u = cell % chart.nu, v = Math.floor(cell / chart.nu);
    area += cellArea / cosine(chart, u, v);
    su += u;
    sv += v;
    if (!((over[cell] as number) > 0)) continue;
    known++;
    rise += over[cell] as number;
    sh += (chart.top[cell] as number) - (over[cell] as number);
  }
  const n = cells.length;
  const mu = su / n, mv = sv / n;
  const volume = n * cellArea * rise / known;
  const every = Math.max(1, Math.floor(n / OUTLINE_POINTS));
  const outline = cells.filter((_, i) => i % every === 0).map((cell) => planPoint(chart, cell % chart.nu, Math.floor(cell / chart.nu), sh / known));
  return { layer, areaMm2: area, volumeMm3: volume, lengthMm: longestSide(chart, cells, mu, mv), position: planPoint(chart, mu, mv, sh / known), outline };
}

/** Extent along the component's principal axis, mm along the surface. */
function longestSide(chart: Chart, cells: readonly number[], mu: number, mv: number): number {
  let uu = 0, uv = 0, vv = 0;
  for (const cell of cells) {
    const du = cell % chart.nu - mu, dv = Math.floor(cell / chart.nu) - mv;
    uu += du * du; uv += du * dv; vv += dv * dv;
  }
  const angle = 0.5 * Math.atan2(2 * uv, uu - vv);
  const c = Math.cos(angle), s = Math.sin(angle);
  let low = Infinity, high = -Infinity;
  for (const cell of cells) {
    const p = (cell % chart.nu - mu) * c + (Math.floor(cell / chart.nu) - mv) * s;
    low = Math.min(low, p);
    high = Math.max(high, p);
  }
  const node = sheetNode(chart.sheet, mu * chart.cellMm, mv * chart.cellMm);
  const rise = (chart.sheet.slopeU[node] as number) * c + (chart.sheet.slopeV[node] as number) * s;
  return (high - low + 1) * chart.cellMm * Math.hypot(1, rise);
}

function planPoint(chart: Chart, u: number, v: number, height: number): Point {
  const pu = (u + 0.5) * chart.cellMm, pv = (v + 0.5) * chart.cellMm;
  const at = (k: 0 | 1 | 2): number => chart.origin[k] + pu * chart.u[k] + pv * chart.v[k] + height * chart.d[k];
  return [at(0), at(1), at(2)];
}
