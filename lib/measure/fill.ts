import { AGREE_SIGMAS, SIGHTINGS, type Chart } from "./chart.ts";
import type { Line } from "./line.ts";
import { sheetNode } from "./sheet.ts";

/** Heights this far from the planned sheet are not of the target, mm. */
const PLAUSIBLE_MM = 8;
/** Missing blocks bridged along a profile. */
const BRIDGE_BLOCKS = 2;

/** One profile in a chart's coordinates, kept until the next one has been joined to it. */
interface ChartLine {
  count: number;
  u: Float64Array; v: Float64Array; w: Float64Array; // Float64Array[block], w NaN = nothing there
  /** The bare target stands there as it stood, seen often enough. */
  settled: Uint8Array; // Uint8Array[block]
}

/**
 * Writes the newest tops of one device into one chart and fills the ruled surface between consecutive profiles, so that
 * the map has no holes. Where the height jumps from one profile to the next it is not smeared: the nearer one counts.
 */
export class MapFiller {
  private readonly chart: Chart;
  private readonly gapMm: number;
  private readonly jumpMm: number;
  private agreeMm = 0;
  private before: ChartLine = { count: 0, u: new Float64Array(0), v: new Float64Array(0), w: new Float64Array(0), settled: new Uint8Array(0) };
  private now: ChartLine = { count: 0, u: new Float64Array(0), v: new Float64Array(0), w: new Float64Array(0), settled: new Uint8Array(0) };

  /** `gapMm`: consecutive profiles further apart on the surface are not joined; `jumpMm`: a step this high is not smeared. */
  constructor(chart: Chart, gapMm: number, jumpMm: number) {
    this.chart = chart;
    this.gapMm = gapMm;
    this.jumpMm = jumpMm;
  }

  /** The blocks' chart coordinates of the profile last put in (w NaN where nothing came back). */
  get line(): Readonly<ChartLine> { return this.now; }

  /** Places a profile over the chart, heights lowered by drift(x) = offset + tilt · x along the sensor's z. False: it does not reach the chart. */
  place(line: Line, offsetMm: number, tilt: number): boolean {
    const swap = this.before;
    this.before = this.now;
    this.now = swap;
    const now = this.now;
    if (now.u.length < line.blockCount) {
      now.u = new Float64Array(line.blockCount);
      now.v = new Float64Array(line.blockCount);
      now.w = new Float64Array(line.blockCount);
      now.settled = new Uint8Array(line.blockCount);
    }
    now.count = line.blockCount;
    this.agreeMm = AGREE_SIGMAS * line.sigmaMm;
    const any = projectBlocks(this.chart, line, offsetMm, tilt, now);
    if (!any) now.count = 0;
    return any;
  }

  /** Forgets the profile before: the next one begins a new pass. */
  breakPass(): void {
    this.now.count = 0;
  }

  /**
   * Writes the surface ruled from the profile before to the placed one into the newest tops; where there is none, the profile alone.
   * A ruling from bare target that stands as it stood to the same says nothing new.
   */
  write(): void {
    const { before, now, chart, agreeMm, jumpMm } = this;
    if (now.count === 0) return;
    bridgeBlocks(now, jumpMm);
    const joined = before.count === now.count && this.isNear();
    const { mark, seen, top, nu } = chart, inverse = 1 / chart.cellMm;
    for (let b = 0; b < now.count; b++) {
      const w = now.w[b] as number;
      if (w !== w) continue;
      const u = now.u[b] as number, v = now.v[b] as number;
      const cell = ((v * inverse) | 0) * nu + ((u * inverse) | 0);
      const change = w - (top[cell] as number);
      const settled = mark[cell] === 0 && seen[cell] === SIGHTINGS && change < agreeMm && change > -agreeMm;
      now.settled[b] = settled ? 1 : 0;
      const w0 = joined ? (before.w[b] as number) : Number.NaN;
      if (w0 === w0 && !(settled && before.settled[b] === 1)) ruleCells(chart, before.u[b] as number, before.v[b] as number, w0, u, v, w, agreeMm, jumpMm);
      else setCell(chart, u, v, w, agreeMm);
    }
  }

  /** Whether the profile before lies near enough on the surface to be joined. */
  private isNear(): boolean {
    const { before, now } = this;
    for (let q = 1; q < 8; q++) {
      const b = Math.floor(q * now.count / 8);
      if (before.w[b] !== before.w[b] || now.w[b] !== now.w[b]) continue;
      const du = (now.u[b] as number) - (before.u[b] as number), dv = (now.v[b] as number) - (before.v[b] as number);
      if (du * du + dv * dv > this.gapMm * this.gapMm) return false;
    }
    return true;
  }
}

/** Blocks into chart coordinates, every `stride`-th one, packed; true where any of them lies over the chart at a plausible height. */
export function projectBlocks(chart: Chart, line: Line, offsetMm: number, tilt: number, out: { u: Float64Array; v: Float64Array; w: Float64Array }, stride = 1): boolean {
  const { origin, u: au, v: av, d: ad, sheet } = chart;
  const { o, ex, ez, blockX, blockZ, blockCount } = line;
  const p0 = o[0]! - origin[0], p1 = o[1]! - origin[1], p2 = o[2]! - origin[2];
  const ou = p0 * au[0] + p1 * au[1] + p2 * au[2], xu = ex[0]! * au[0] + ex[1]! * au[1] + ex[2]! * au[2], zu = ez[0]! * au[0] + ez[1]! * au[1] + ez[2]! * au[2];
  const ov = p0 * av[0] + p1 * av[1] + p2 * av[2], xv = ex[0]! * av[0] + ex[1]! * av[1] + ex[2]! * av[2], zv = ez[0]! * av[0] + ez[1]! * av[1] + ez[2]! * av[2];
  const ow = p0 * ad[0] + p1 * ad[1] + p2 * ad[2], xw = ex[0]! * ad[0] + ex[1]! * ad[1] + ex[2]! * ad[2], zw = ez[0]! * ad[0] + ez[1]! * ad[1] + ez[2]! * ad[2];
  if (zw < 0.15) return false;
  const wide = chart.nu * chart.cellMm, high = chart.nv * chart.cellMm;
  const { heightMm, perMm, nu } = sheet, { u: us, v: vs, w: ws } = out;
  let any = false;
  for (let b = 0, k = 0; b < blockCount; b += stride, k++) {
    const x = blockX[b] as number;
    const z = (blockZ[b] as number) - offsetMm - tilt * x;
    const u = ou + x * xu + z * zu, v = ov + x * xv + z * zv;
    let w = ow + x * xw + z * zw;
    if (w === w) {
      if (u < 0 || v < 0 || u >= wide || v >= high) w = Number.NaN;
      else {
        const off = w - (heightMm[((v * perMm + 0.5) | 0) * nu + ((u * perMm + 0.5) | 0)] as number); // the sheet is as wide as the chart
        if (off > PLAUSIBLE_MM || off < -PLAUSIBLE_MM) w = Number.NaN;
        else any = true;
      }
    }
    us[k] = u;
    vs[k] = v;
    ws[k] = w;
  }
  return any;
}

function bridgeBlocks(line: ChartLine, jumpMm: number): void {
  let last = -1;
  for (let b = 0; b < line.count; b++) {
    if (line.w[b] !== line.w[b]) continue;
    const missing = b - last - 1;
    if (last >= 0 && missing > 0 && missing <= BRIDGE_BLOCKS) {
      const w0 = line.w[last] as number, w1 = line.w[b] as number;
      if (Math.abs(w1 - w0) <= jumpMm) {
        for (let k = 1; k <= missing; k++) {
          const f = k / (missing + 1);
          line.w[last + k] = w0 + (w1 - w0) * f;
          line.u[last + k] = (line.u[last] as number) + ((line.u[b] as number) - (line.u[last] as number)) * f;
          line.v[last + k] = (line.v[last] as number) + ((line.v[b] as number) - (line.v[last] as number)) * f;
        }
      }
    }
    last = b;
  }
}

/** Sets the cell under one place, carrying the height to the cell's centre along the sheet's slope. */
function setCell(chart: Chart, u: number, v: number, w: number, agreeMm: number): void {
  const { nu, nv, cellMm, sheet } = chart;
  const cu = u / cellMm, cv = v / cellMm;
  const iu = cu | 0, iv = cv | 0; // no place inside the chart is negative
  if (iu >= nu || iv >= nv) return;
  const node = sheetNode(sheet, u, v);
  const height = w + cellMm * ((sheet.slopeU[node] as number) * (iu + 0.5 - cu) + (sheet.slopeV[node] as number) * (iv + 0.5 - cv));
  seeCells(chart, agreeMm, iv * nu + iu, 0, 1, 0, 0, 0, height, 0, 0);
}

/**
 * Sets each cell once that the straight ruling from one place (not included) to another passes: line by line of cells across its way,
 * the height taken at the line's middle and carried to the cell's centre along the sheet's slope.
 * A step of more than `jumpMm` is not smeared: the nearer end counts.
 */
function ruleCells(chart: Chart, u0: number, v0: number, w0: number, u1: number, v1: number, w1: number, agreeMm: number, jumpMm: number): void {
  const { sheet, nu, nv } = chart;
  const inverse = 1 / chart.cellMm, node = sheetNode(sheet, u1, v1);
  const alongU = Math.abs(u1 - u0) >= Math.abs(v1 - v0);
  const a0 = (alongU ? u0 : v0) * inverse, a1 = (alongU ? u1 : v1) * inverse;
  const c0 = (alongU ? v0 : u0) * inverse, c1 = (alongU ? v1 : u1) * inverse;
  const rise = ((alongU ? sheet.slopeV[node] : sheet.slopeU[node]) as number) * chart.cellMm;
  const stepA = alongU ? 1 : nu, stepC = alongU ? nu : 1;
  // lines whose middles i + ½ lie in (a0, a1], or [a1, a0) the other way; no place inside the chart is negative
  const forward = a1 >= a0;
  const from = forward ? (a0 + 0.5) | 0 : Math.ceil(a1 - 0.5);
  const count = Math.min(forward ? (a1 + 0.5) | 0 : Math.ceil(a0 - 0.5), alongU ? nu : nv) - from;
  if (count <= 0 || Math.max(c0, c1) >= (alongU ? nv : nu)) return;
  const per = 1 / (a1 - a0), begin = from + 0.5 - a0;
  const dc = (c1 - c0) * per, dw = (w1 - w0) * per;
  const c = c0 + dc * begin;
  if (w1 - w0 <= jumpMm && w0 - w1 <= jumpMm) {
    seeCells(chart, agreeMm, from * stepA, stepA, count, c, dc, stepC, w0 + dw * begin, dw, rise);
    return;
  }
  const half = count >> 1;
  seeCells(chart, agreeMm, from * stepA, stepA, half, c, dc, stepC, forward ? w0 : w1, 0, rise);
  seeCells(chart, agreeMm, (from + half) * stepA, stepA, count - half, c + dc * half, dc, stepC, forward ? w1 : w0, 0, rise);
}

/**
 * Heights w + dw · k into the cells base + stepA · k + stepC · ⌊c + dc · k⌋, k < count, each raised by `rise` a cell to the cell's middle.
 * A height within `agreeMm` of what stands there joins its running mean, any other takes its place.
 */
function seeCells(chart: Chart, agreeMm: number, base: number, stepA: number, count: number, c: number, dc: number, stepC: number, w: number, dw: number, rise: number): void {
  const { top, seen } = chart;
  for (let k = 0; k < count; k++) {
    const line = c | 0;
    const cell = base + line * stepC;
    const height = w + rise * (line + 0.5 - c);
    const stands = top[cell] as number, change = height - stands;
    if (change < agreeMm && change > -agreeMm) {
      const n = (seen[cell] as number) + 1;
      if (n <= SIGHTINGS) {
        seen[cell] = n;
        top[cell] = stands + change / n;
      } else top[cell] = stands + change / SIGHTINGS;
    } else {
      top[cell] = height;
      seen[cell] = 1;
    }
    c += dc; w += dw; base += stepA;
  }
}
