import { robustLine } from "../kernel/lineFit.ts";
import { mapHeight, NEAR_BEAD, type Chart } from "./chart.ts";
import { projectBlocks } from "./fill.ts";
import type { Line } from "./line.ts";
import { sheetNode } from "./sheet.ts";

/** Bare places compared per profile, at most. */
const MOST_PLACES = 160;
/** Fewer bare places than this say nothing. */
const FEWEST_PLACES = 12;
/** Random walk of offset (mm) and tilt (mm per mm) from one profile to the next, and across a pause of over a second. */
const WALK_OFFSET_MM = 0.0004;
const WALK_TILT = 3e-5;
const PAUSE_OFFSET_MM = 0.01;
const PAUSE_TILT = 3e-4;
/** What is believed before anything was compared. */
const START_OFFSET_MM = 0.03;
const START_TILT = 1e-3;
const PAUSE_S = 1;

/**
 * Follows how far a sensor's heights have moved against the frozen support: offset + tilt · x along its z, fitted robustly to
 * the bare places of each profile and smoothed over profiles by a two-state Kalman filter (random walk).
 */
export class DriftFollower {
  offsetMm = 0;
  tilt = 0;
  private p00 = START_OFFSET_MM * START_OFFSET_MM;
  private p01 = 0;
  private p11 = START_TILT * START_TILT;
  private lastS = Number.NaN;
  private readonly xs = new Float64Array(MOST_PLACES);
  private readonly rs = new Float64Array(MOST_PLACES);
  private readonly scratch = new Float64Array(MOST_PLACES);
  private blocks = { count: 0, u: new Float64Array(0), v: new Float64Array(0), w: new Float64Array(0) };

  /** Variance of the correction at sensor x, mm². */
  varianceAt(xMm: number): number {
    return this.p00 + 2 * xMm * this.p01 + xMm * xMm * this.p11;
  }

  /** Takes one more profile into account. */
  follow(line: Line, charts: readonly Chart[], tS: number): void {
    const paused = tS - this.lastS > PAUSE_S;
    this.lastS = tS;
    this.p00 += paused ? PAUSE_OFFSET_MM * PAUSE_OFFSET_MM : WALK_OFFSET_MM * WALK_OFFSET_MM;
    this.p11 += paused ? PAUSE_TILT * PAUSE_TILT : WALK_TILT * WALK_TILT;
    const count = this.collect(line, charts);
    if (count < FEWEST_PLACES) return;
    const sigma = line.sigmaMm * Math.sqrt(1.67 / Math.max(1, line.blockSize));
    const fit = robustLine(this.xs, this.rs, count, sigma, 0.02, this.scratch);
    if (fit.used < FEWEST_PLACES / 2) return;
    const k = fit.scale * fit.scale;
    this.update(fit.a, fit.b, k * fit.varA, k * fit.covAB, k * fit.varB);
  }

  private update(a: number, b: number, raa: number, rab: number, rbb: number): void {
    const s00 = this.p00 + raa, s01 = this.p01 + rab, s11 = this.p11 + rbb;
    const det = s00 * s11 - s01 * s01;
    const k00 = (this.p00 * s11 - this.p01 * s01) / det, k01 = (this.p01 * s00 - this.p00 * s01) / det;
    const k10 = (this.p01 * s11 - this.p11 * s01) / det, k11 = (this.p11 * s00 - this.p01 * s01) / det;
    const da = a - this.offsetMm, db = b - this.tilt;
    this.offsetMm += k00 * da + k01 * db;
    this.tilt += k10 * da + k11 * db;
    const p00 = this.p00 - k00 * this.p00 - k01 * this.p01;
    const p01 = this.p01 - k00 * this.p01 - k01 * this.p11;
    const p11 = this.p11 - k10 * this.p01 - k11 * this.p11;
    this.p00 = p00;
    this.p01 = p01;
    this.p11 = p11;
  }

  /** Fills xs and rs with sensor x and (height − support) along the sensor's z at bare places; returns how many. */
  private collect(line: Line, charts: readonly Chart[]): number {
    if (this.blocks.u.length < line.blockCount) {
      this.blocks = { count: 0, u: new Float64Array(line.blockCount), v: new Float64Array(line.blockCount), w: new Float64Array(line.blockCount) };
    }
    const stride = Math.max(1, Math.ceil(line.blockCount / MOST_PLACES));
    let n = 0;
    for (const chart of charts) {
      if (!projectBlocks(chart, line, 0, 0, this.blocks)) continue;
      const zu = axis(line, chart.u), zv = axis(line, chart.v), zw = axis(line, chart.d);
      for (let b = 0; b < line.blockCount && n < MOST_PLACES; b += stride) {
        const w = this.blocks.w[b] as number;
        if (w !== w) continue;
        const u = this.blocks.u[b] as number, v = this.blocks.v[b] as number;
        const cell = Math.floor(v / chart.cellMm) * chart.nu + Math.floor(u / chart.cellMm);
        if (((chart.mark[cell] as number) & NEAR_BEAD) !== 0) continue;
        const support = mapHeight(chart, chart.support, u, v);
        if (support !== support) continue;
        const node = sheetNode(chart.sheet, u, v);
        const lever = zw - (chart.sheet.slopeU[node] as number) * zu - (chart.sheet.slopeV[node] as number) * zv;
        if (lever < 0.3) continue;
        this.xs[n] = line.blockX[b] as number;
        this.rs[n++] = (w - support) / lever;
      }
    }
    return n;
  }
}

function axis(line: Line, a: readonly [number, number, number]): number {
  return line.ez[0]! * a[0] + line.ez[1]! * a[1] + line.ez[2]! * a[2];
}
