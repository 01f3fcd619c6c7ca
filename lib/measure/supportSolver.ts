import { mapHeight, type Chart } from "./chart.ts";

/** Noise variance left in a running mean of 0, 1, 2 and SIGHTINGS or more sightings: more than one over their number, since passes share the map's cells and the newest keeps its weight (from phantoms). */
const NOISE_LEFT = [1, 1, 0.7, 0.45];

/** A frame on a strand and how it turns there; heights are over the planned base, `heightMm` under the frame. */
export interface Place { readonly frame: Float64Array; readonly kn: number; readonly kg: number; readonly tau: number; readonly heightMm: number }

/** Finds the frozen support over the planned base, along the strand's normal; a chart and a place at a time. */
export class SupportSolver {
  /** Noise share of the cell last looked at. */
  share = 1;
  private chart: Chart | null = null;
  private support: Float32Array = new Float32Array(0);
  private level = 0;
  private kn = 0; private kg = 0; private tau = 0;
  /** The frame's point and its axes (tangent, lateral, normal) in the chart's u, v and d. */
  private readonly at = new Float64Array(12);

  /** Sets the place that `height` looks from. */
  aim(c: Place, chart: Chart, support: Float32Array): void {
    const { frame } = c;
    this.chart = chart;
    this.support = support;
    this.level = c.heightMm;
    this.kn = c.kn; this.kg = c.kg; this.tau = c.tau;
    for (let part = 0; part < 4; part++) { // point, tangent, normal, lateral
      const x = frame[3 * part] as number, y = frame[3 * part + 1] as number, z = frame[3 * part + 2] as number;
      const px = part === 0 ? x - chart.origin[0] : x, py = part === 0 ? y - chart.origin[1] : y, pz = part === 0 ? z - chart.origin[2] : z;
      this.at[3 * part] = px * chart.u[0] + py * chart.u[1] + pz * chart.u[2];
      this.at[3 * part + 1] = px * chart.v[0] + py * chart.v[1] + pz * chart.v[2];
      this.at[3 * part + 2] = px * chart.d[0] + py * chart.d[1] + pz * chart.d[2];
    }
  }

  /** Height of the support over the planned base at (δ, b), the map met by a few Newton steps from `guess`; NaN where it was not seen. */
  height(b: number, delta: number, guess: number): number {
    const { chart, at, kn, kg, tau } = this;
    const nd = at[8] as number;
    if (chart === null || nd < 0.2) return Number.NaN;
    let n = guess;
    for (let step = 0; step < 4; step++) {
      const nu = n - this.level;
      const T = delta * (1 - kg * b - kn * nu), B = b + 0.5 * kg * delta * delta + tau * nu * delta, N = nu + 0.5 * kn * delta * delta - tau * b * delta;
      const u = at[0]! + T * at[3]! + B * at[9]! + N * at[6]!, v = at[1]! + T * at[4]! + B * at[10]! + N * at[7]!;
      const H = mapHeight(chart, this.support, u, v);
      if (H !== H) return Number.NaN;
      const miss = H - (at[2]! + T * at[5]! + B * at[11]! + N * nd);
      n += miss / nd;
      if (miss < 0.002 && miss > -0.002) {
        this.share = NOISE_LEFT[chart.supportSeen[((v / chart.cellMm) | 0) * chart.nu + ((u / chart.cellMm) | 0)] as number] as number;
        break;
      }
    }
    return n;
  }
}
