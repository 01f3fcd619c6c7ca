/** Ordinary least squares: the straight line y = b0 + b1 x, with what is known of its coefficients. */
import { mean } from "./statistics.ts";

export interface Regression {
  readonly n: number;
  readonly intercept: number;
  readonly slope: number;
  /** Standard deviations of the two; NaN below three points. */
  readonly interceptSd: number;
  readonly slopeSd: number;
  /** √(SSE/(n − 2)); NaN below three points. */
  readonly residualSd: number;
  /** Share of the variance of y that the line explains, 0..1; NaN where y does not vary. */
  readonly r2: number;
  /** Sum of squared residuals. */
  readonly sse: number;
  /** Regression over residual mean square. */
  readonly f: number;
}

/** null below two points or where x does not vary. Sums are of distances from the means, so that values far from 0 keep their digits. */
export function regress(x: ArrayLike<number>, y: ArrayLike<number>): Regression | null {
  const n = x.length, middleX = mean(x), middleY = mean(y);
  let sxx = 0, sxy = 0, syy = 0;
  for (let i = 0; i < n; i++) {
    const dx = (x[i] as number) - middleX, dy = (y[i] as number) - middleY;
    sxx += dx * dx;
    sxy += dx * dy;
    syy += dy * dy;
  }
  if (n < 2 || !(sxx > 0)) return null;
  const slope = sxy / sxx, intercept = middleY - slope * middleX;
  let sse = 0;
  for (let i = 0; i < n; i++) sse += ((y[i] as number) - middleY - slope * ((x[i] as number) - middleX)) ** 2;
  const variance = n > 2 ? sse / (n - 2) : Number.NaN;
  return {
    n, intercept, slope, sse, residualSd: Math.sqrt(variance), slopeSd: Math.sqrt(variance / sxx),
    interceptSd: Math.sqrt(variance * (1 / n + middleX * middleX / sxx)), r2: syy > 0 ? 1 - sse / syy : Number.NaN, f: (syy - sse) / variance,
  };
}
