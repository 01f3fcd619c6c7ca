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
  private before: ChartLine = { count: 0, u: new Float64Array(0), v: new Float64Array(0), w: new Float64Array(0) };
  private now: ChartLine = { count: 0, u: new Float64Array(0), v: new Float64Array(0), w: new Float64Array(0) };

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

  /** Writes the placed profile, and the surface ruled to the one before, into the newest tops. */
  write(): void {
    const { before, now, chart } = this;
    if (now.count === 0) return;
    bridgeBlocks(now, this.jumpMm);
    const joined = before.count === now.count ? this.stepsBetween() : 0;
    for (let b = 0; b < now.count; b++) {
      const w1 = now.w[b] as number;
      if (w1 !== w1) continue;
      this.alongLine(b);
      if (joined === 0) continue;
      const w0 = before.w[b] as number;
      if (w0 !== w0) continue;
      const u0 = before.u[b] as number, v0 = before.v[b] as number;
      const du = (now.u[b] as number) - u0, dv = (now.v[b] as number) - v0;
      const jump = w1 - w0 > this.jumpMm || w0 - w1 > this.jumpMm;
      for (let k = 1; k < joined; k++) {
        const f = k / joined;
        const w = jump ? (f < 0.5 ? w0 : w1) : w0 + (w1 - w0) * f;
        setCell(chart, u0 + du * f, v0 + dv * f, w, this.agreeMm);
      }
    }
  }

  /** Writes block b and, where blocks lie further apart than a cell, the line to the block before it. */
  private alongLine(b: number): void {
    const { now, chart } = this;
    const u = now.u[b] as number, v = now.v[b] as number, w = now.w[b] as number;
    setCell(chart, u, v, w, this.agreeMm);
    if (b === 0) return;
    const w0 = now.w[b - 1] as number;
    if (w0 !== w0 || Math.abs(w - w0) > this.jumpMm) return;
    const du = u - (now.u[b - 1] as number), dv = v - (now.v[b - 1] as number);
    const steps = Math.ceil(Math.sqrt(du * du + dv * dv) / chart.cellMm);
    for (let k = 1; k < steps; k++) setCell(chart, u - du * k / steps, v - dv * k / steps, w + (w0 - w) * k / steps, this.agreeMm);
  }

  /** Sub-lines between the profile before and this one, by their distance on the surface; 0: too far apart to be joined. */
  private stepsBetween(): number {
    const { before, now } = this;
    let most = 0;
    for (let q = 1; q < 8; q++) {
      const b = Math.floor(q * now.count / 8);
      if (before.w[b] !== before.w[b] || now.w[b] !== now.w[b]) continue;
      const d = Math.hypot((now.u[b] as number) - (before.u[b] as number), (now.v[b] as number) - (before.v[b] as number));
      if (d > most) most = d;
    }
    return most > this.gapMm ? 0 : Math.ceil(most / (0.8 * this.chart.cellMm));
  }
}

/** Blocks into chart coordinates; true where any of them lies over the chart at a plausible height. */
export function projectBlocks(chart: Chart, line: Line, offsetMm: number, tilt: number, out: ChartLine): boolean {
  const project = (axis: readonly [number, number, number]): [number, number, number] => [
    (line.o[0]! - chart.origin[0]) * axis[0] + (line.o[1]! - chart.origin[1]) * axis[1] + (line.o[2]! - chart.origin[2]) * axis[2],
    line.ex[0]! * axis[0] + line.ex[1]! * axis[1] + line.ex[2]! * axis[2],
    line.ez[0]! * axis[0] + line.ez[1]! * axis[1] + line.ez[2]! * axis[2],
  ];
  const [ou, xu, zu] = project(chart.u), [ov, xv, zv] = project(chart.v), [ow, xw, zw] = project(chart.d);
  if (zw < 0.15) return false;
  const wide = chart.nu * chart.cellMm, high = chart.nv * chart.cellMm;
  const { sheet } = chart;
  let any = false;
  for (let b = 0; b < line.blockCount; b++) {
    const x = line.blockX[b] as number;
    const z = (line.blockZ[b] as number) - offsetMm - tilt * x;
    const u = ou + x * xu + z * zu, v = ov + x * xv + z * zv;
    let w = ow + x * xw + z * zw;
    out.u[b] = u;
    out.v[b] = v;
    if (w === w) {
      if (u < 0 || v < 0 || u >= wide || v >= high) w = Number.NaN;
      else if (Math.abs(w - (sheet.heightMm[sheetNode(sheet, u, v)] as number)) > PLAUSIBLE_MM) w = Number.NaN;
      else any = true;
    }
    out.w[b] = w;
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

/**
 * Sets the cell under (u, v), carrying the height to the cell's centre along the sheet's slope. A height that agrees with what
 * stands there joins its running mean, any other takes its place.
 */
function setCell(chart: Chart, u: number, v: number, w: number, agreeMm: number): void {
  const iu = Math.floor(u / chart.cellMm), iv = Math.floor(v / chart.cellMm);
  if (iu < 0 || iv < 0 || iu >= chart.nu || iv >= chart.nv) return;
  const node = sheetNode(chart.sheet, u, v);
  const height = w
    + (chart.sheet.slopeU[node] as number) * ((iu + 0.5) * chart.cellMm - u)
    + (chart.sheet.slopeV[node] as number) * ((iv + 0.5) * chart.cellMm - v);
  const cell = iv * chart.nu + iu;
  const change = height - (chart.top[cell] as number);
  if (change < agreeMm && change > -agreeMm) {
    const n = Math.min(SIGHTINGS, (chart.seen[cell] as number) + 1);
    chart.seen[cell] = n;
    chart.top[cell] = (chart.top[cell] as number) + change / n;
  } else {
    chart.top[cell] = height;
    chart.seen[cell] = 1;
  }
}
