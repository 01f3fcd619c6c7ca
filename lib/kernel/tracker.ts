/**
 * Kalman filter of a line y = a + b x that moves slowly: state [a, b, ȧ, ḃ], one step at a time. A measurement is (a, b) with its
 * covariance. How much it wanders is learned: as long as measurements surprise less than their covariance says, the steps shrink,
 * else they grow (innovation-based adaptation; Mehra 1970, from memory). Numbers only.
 */
export interface LineTrackerNoise {
  /** Standard deviations of one step's wander of a, b, and of their rates. */
  readonly step: readonly [number, number, number, number];
  /** Standard deviations at the start. */
  readonly start: readonly [number, number, number, number];
}

const N = 4;
/** Squared normalised innovation that is aimed at, of two degrees of freedom; a little under 2, so that some wander is always left. */
const AIMED_NIS = 1.9;
const LEARNING = 0.05;
const LEAST_SCALE = 0.01;
const MOST_SCALE = 3;

export class LineTracker {
  private readonly state = new Float64Array(N);
  private readonly noise: LineTrackerNoise;
  /** Learned factor on the steps. */
  private scale = 0.3;
  private p = new Float64Array(N * N); // covariance, row-major
  private next = new Float64Array(N * N);
  private readonly gain = new Float64Array(2 * N);

  constructor(noise: LineTrackerNoise) {
    this.noise = noise;
    for (let i = 0; i < N; i++) this.p[N * i + i] = (noise.start[i] as number) ** 2;
  }

  get a(): number { return this.state[0] as number; }
  get b(): number { return this.state[1] as number; }

  /** Variance of a + b x. */
  varianceAt(x: number): number {
    return (this.p[0] as number) + 2 * x * (this.p[1] as number) + x * x * (this.p[N + 1] as number);
  }

  /** One step forward in time: p ← F p Fᵀ + Q with a += ȧ, b += ḃ. */
  step(): void {
    const { state, p, next } = this;
    state[0]! += state[2] as number;
    state[1]! += state[3] as number;
    for (let i = 0; i < N; i++) for (let j = 0; j < N; j++) next[N * i + j] = (p[N * i + j] as number) + (i < 2 ? (p[N * (i + 2) + j] as number) : 0);
    for (let i = 0; i < N; i++) for (let j = 0; j < 2; j++) next[N * i + j]! += next[N * i + j + 2] as number;
    for (let i = 0; i < N; i++) next[N * i + i]! += (this.scale * (this.noise.step[i] as number)) ** 2;
    this.p = next;
    this.next = p;
  }

  /** Time has passed unseen: a and b may have moved by `a` and `b`, and the rates are forgotten. */
  pause(a: number, b: number): void {
    this.state[2] = 0;
    this.state[3] = 0;
    for (let i = 0; i < N; i++) {
      for (let j = 2; j < N; j++) {
        this.p[N * i + j] = 0;
        this.p[N * j + i] = 0;
      }
    }
    this.p[0]! += a * a;
    this.p[N + 1]! += b * b;
    for (let i = 2; i < N; i++) this.p[N * i + i] = (this.noise.start[i] as number) ** 2;
  }

  /**
   * Takes a measured line with covariance [raa, rab, rbb]; returns its squared normalised innovation (2 on average where all is as
   * believed). One over `gate` is not taken. The covariance is updated in Joseph's form, which stays positive whatever the rounding.
   */
  measure(a: number, b: number, raa: number, rab: number, rbb: number, gate = Infinity): number {
    const { state, p } = this;
    const s00 = (p[0] as number) + raa, s01 = (p[1] as number) + rab, s11 = (p[N + 1] as number) + rbb;
    const det = s00 * s11 - s01 * s01;
    const da = a - (state[0] as number), db = b - (state[1] as number);
    const nis = (s11 * da * da - 2 * s01 * da * db + s00 * db * db) / det;
    if (!(nis <= gate)) return nis;
    this.scale = Math.min(MOST_SCALE, Math.max(LEAST_SCALE, this.scale * Math.exp(LEARNING * (Math.min(nis, 12) - AIMED_NIS))));
    for (let i = 0; i < N; i++) {
      const pa = p[N * i] as number, pb = p[N * i + 1] as number;
      this.gain[2 * i] = (pa * s11 - pb * s01) / det;
      this.gain[2 * i + 1] = (pb * s00 - pa * s01) / det;
      state[i]! += (this.gain[2 * i] as number) * da + (this.gain[2 * i + 1] as number) * db;
    }
    this.joseph(raa, rab, rbb);
    return nis;
  }

  /** p ← (I − K H) p (I − K H)ᵀ + K R Kᵀ, H the first two components. */
  private joseph(raa: number, rab: number, rbb: number): void {
    const { p, next, gain } = this;
    for (let i = 0; i < N; i++) {
      const ka = gain[2 * i] as number, kb = gain[2 * i + 1] as number;
      for (let j = 0; j < N; j++) next[N * i + j] = (p[N * i + j] as number) - ka * (p[j] as number) - kb * (p[N + j] as number);
    }
    for (let i = 0; i < N; i++) {
      const ka = gain[2 * i] as number, kb = gain[2 * i + 1] as number;
      const na = next[N * i] as number, nb = next[N * i + 1] as number;
      for (let j = 0; j <= i; j++) {
        const la = gain[2 * j] as number, lb = gain[2 * j + 1] as number;
        const v = (next[N * i + j] as number) - na * la - nb * lb + ka * raa * la + rab * (ka * lb + kb * la) + kb * rbb * lb;
        p[N * i + j] = v;
        p[N * j + i] = v;
      }
    }
  }
}
