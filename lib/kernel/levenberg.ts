/** Least squares by Levenberg and Marquardt's method over any kind of state that knows how to move by a small step. */
import { factorCholesky, solveFactored } from "./dense.ts";

export interface LeastSquares<S> {
  /** Number of components of a step. */
  readonly size: number;
  /** Adds JᵀJ (lower half) and Jᵀr at `state` to the two arrays of zeros, J being the slope of the residuals r by a step; returns Σ r². */
  readonly linearise: (state: S, normal: Float64Array, gradient: Float64Array) => number;
  /** Σ r² alone; NaN where the state makes no sense. */
  readonly cost: (state: S) => number;
  /** The state moved by a step. */
  readonly moved: (state: S, step: Float64Array) => S;
}

export interface LeastSquaresFit<S> {
  readonly state: S;
  /** Σ r² there. */
  readonly cost: number;
  /** JᵀJ there, lower half filled. */
  readonly normal: Float64Array;
  readonly isSettled: boolean;
}

const MOST_STEPS = 200;
const MOST_DAMPING = 1e12;
/** A step that lowers the cost by a smaller share than this is the last. */
const SETTLED_SHARE = 1e-12;

/** Damping by the diagonal (Marquardt 1963), a tenth after a step that was taken, tenfold after one that was not. */
export function leastSquares<S>(problem: LeastSquares<S>, start: S): LeastSquaresFit<S> {
  const n = problem.size, normal = new Float64Array(n * n), gradient = new Float64Array(n), damped = new Float64Array(n * n), step = new Float64Array(n);
  let state = start, cost = problem.linearise(state, normal, gradient), damping = 1e-3;
  for (let count = 0; count < MOST_STEPS; count++) {
    damped.set(normal);
    for (let i = 0; i < n; i++) damped[n * i + i]! += damping * (normal[n * i + i]! > 0 ? normal[n * i + i]! : 1);
    for (let i = 0; i < n; i++) step[i] = -gradient[i]!;
    const isDefinite = factorCholesky(damped, n);
    if (isDefinite) solveFactored(damped, step, n);
    const next = isDefinite ? problem.moved(state, step) : state, nextCost = isDefinite ? problem.cost(next) : Number.NaN;
    if (!(nextCost <= cost)) {
      damping *= 10;
      if (damping > MOST_DAMPING) return { state, cost, normal, isSettled: true }; // no step lowers it any more
      continue;
    }
    const isLast = cost - nextCost <= SETTLED_SHARE * cost;
    state = next;
    normal.fill(0);
    gradient.fill(0);
    cost = problem.linearise(state, normal, gradient);
    damping = Math.max(damping / 10, 1e-9);
    if (isLast) return { state, cost, normal, isSettled: true };
  }
  return { state, cost, normal, isSettled: false };
}
