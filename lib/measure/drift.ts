import { robustLine } from "../kernel/lineFit.ts";
import { LineTracker, type LineTrackerNoise } from "../kernel/tracker.ts";
import { mapHeight, NEAR_BEAD, type Chart } from "./chart.ts";
import { projectBlocks } from "./fill.ts";
import type { Line } from "./line.ts";
import { sheetNode } from "./sheet.ts";

/** Bare places compared per profile, at most. */
const MOST_PLACES = 160;
/** Fewer bare places than this say nothing. */
const FEWEST_PLACES = 12;
/** Wander from one profile to the next of offset (mm), tilt (mm per mm) and their rates, and what is believed of them at the start. */
const DRIFT: LineTrackerNoise = { step: [0.0003, 3e-5, 1e-4, 8e-6], start: [0.03, 1e-3, 5e-4, 5e-5] };
/** A pause is longer than this, or than four times the wait before; across it a pose may have moved by so much. */
const PAUSE_S = 0.3;
const PAUSE_OFFSET_MM = 0.02;
const PAUSE_TILT = 5e-4;
/** However quiet the sensor, the map's cells leave this much of a bare level and its tilt open. */
const FLOOR_OFFSET_MM = 0.0005;
const FLOOR_TILT = 5e-5;
/** Doubt of a sensor that nothing was ever compared with, mm (common practice, no source). */
const UNANCHORED_MM = 0.003;
/** Bare places that scatter by more than this do not agree on a level: a profile along a flank beneath says nothing. */
const DISAGREE_SIGMAS = 3;
const DISAGREE_MM = 0.008;
/** A line this unlikely (squared, normalised) is not believed; when so many in a row say it, the pose has moved at once. */
const UNLIKELY = 40;
const INSIST_COUNT = 4;

/**
 * Follows how far a sensor's heights have moved against the frozen support: offset + tilt · x along its z, fitted robustly to
 * the bare places of each profile and smoothed over profiles by a Kalman filter that knows the offset's rate.
 */
export class DriftFollower {
  private readonly tracker = new LineTracker(DRIFT);
  private lastS = Number.NaN;
  private waitS = 0;
  private unlikely = 0;
  private anchored = false;
  private squares = 0;
  private followed = 0;
  private readonly xs = new Float64Array(MOST_PLACES);
  private readonly rs = new Float64Array(MOST_PLACES);
  private readonly scratch = new Float64Array(MOST_PLACES);
  private blocks = { count: 0, u: new Float64Array(0), v: new Float64Array(0), w: new Float64Array(0) };

  get offsetMm(): number { return this.tracker.a; }
  get tilt(): number { return this.tracker.b; }

  /** How far the heights were found to have moved against the support, root mean square so far: the support was seen with such an error too, mm. */
  get wanderMm(): number { return this.followed > 0 ? Math.sqrt(this.squares / this.followed) : 0; }

  /** Variance of the correction at sensor x, mm². Where no bare support was ever seen before, support and bead come from the same passes. */
  varianceAt(xMm: number): number {
    return this.anchored ? this.tracker.varianceAt(xMm) : UNANCHORED_MM * UNANCHORED_MM;
  }

  /** Takes one more profile into account. */
  follow(line: Line, charts: readonly Chart[], tS: number): void {
    const waitS = tS - this.lastS;
    if (waitS > PAUSE_S && waitS > 4 * this.waitS) this.tracker.pause(PAUSE_OFFSET_MM, PAUSE_TILT);
    else this.tracker.step();
    this.waitS = waitS;
    this.lastS = tS;
    const count = this.collect(line, charts);
    if (count < FEWEST_PLACES) return;
    const sigma = line.sigmaMm * Math.sqrt(1.67 / Math.max(1, line.blockSize));
    const fit = robustLine(this.xs, this.rs, count, sigma, 0.02, this.scratch);
    if (fit.used < FEWEST_PLACES / 2 || fit.scale > DISAGREE_SIGMAS * sigma + DISAGREE_MM) return;
    const k = fit.scale * fit.scale;
    const take = (): number => this.tracker.measure(
      fit.a, fit.b, k * fit.varA + FLOOR_OFFSET_MM * FLOOR_OFFSET_MM, k * fit.covAB, k * fit.varB + FLOOR_TILT * FLOOR_TILT, UNLIKELY,
    );
    this.anchored = true;
    this.squares += fit.a * fit.a;
    this.followed++;
    if (take() <= UNLIKELY) this.unlikely = 0;
    else if (++this.unlikely >= INSIST_COUNT) {
      this.tracker.pause(PAUSE_OFFSET_MM * this.unlikely, PAUSE_TILT * this.unlikely);
      take();
    }
  }

  /** Fills xs and rs with sensor x and (height − support) along the sensor's z at bare places; returns how many. */
  private collect(line: Line, charts: readonly Chart[]): number {
    if (this.blocks.u.length < line.blockCount) {
      this.blocks = { count: 0, u: new Float64Array(line.blockCount), v: new Float64Array(line.blockCount), w: new Float64Array(line.blockCount) };
    }
    const stride = Math.max(1, Math.ceil(line.blockCount / MOST_PLACES));
    let n = 0;
    for (const chart of charts) {
      if (!projectBlocks(chart, line, 0, 0, this.blocks, stride)) continue;
      const zu = axis(line, chart.u), zv = axis(line, chart.v), zw = axis(line, chart.d);
      const { mark, sheet, nu } = chart, inverse = 1 / chart.cellMm;
      for (let b = 0, k = 0; b < line.blockCount && n < MOST_PLACES; b += stride, k++) {
        const w = this.blocks.w[k] as number;
        if (w !== w) continue;
        const u = this.blocks.u[k] as number, v = this.blocks.v[k] as number;
        if (((mark[((v * inverse) | 0) * nu + ((u * inverse) | 0)] as number) & NEAR_BEAD) !== 0) continue;
        const support = mapHeight(chart, chart.support, u, v);
        if (support !== support) continue;
        const node = sheetNode(sheet, u, v);
        const lever = zw - (sheet.slopeU[node] as number) * zu - (sheet.slopeV[node] as number) * zv;
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
