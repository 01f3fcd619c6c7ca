/** Small dense matrices, row by row in a Float64Array, by plain arithmetic in a fixed order. */

/**
 * Cholesky factor of a symmetric matrix whose lower half is given, in place: A = L Lᵀ, L the lower half. False where A is not positive
 * definite; the factor then holds NaN from there on.
 */
export function factorCholesky(a: Float64Array, n: number): boolean {
  for (let r = 0; r < n; r++) {
    for (let c = 0; c <= r; c++) {
      let sum = a[n * r + c] as number;
      for (let k = 0; k < c; k++) sum -= (a[n * r + k] as number) * (a[n * c + k] as number);
      a[n * r + c] = r === c ? Math.sqrt(sum) : sum / (a[n * c + c] as number);
    }
  }
  for (let r = 0; r < n; r++) if (!((a[n * r + r] as number) > 0)) return false;
  return true;
}

/** Solves L Lᵀ x = b for a factor of `factorCholesky`; `b` becomes x. */
export function solveFactored(l: Float64Array, b: Float64Array, n: number): void {
  for (let r = 0; r < n; r++) {
    let sum = b[r] as number;
    for (let k = 0; k < r; k++) sum -= (l[n * r + k] as number) * (b[k] as number);
    b[r] = sum / (l[n * r + r] as number);
  }
  for (let r = n - 1; r >= 0; r--) {
    let sum = b[r] as number;
    for (let k = r + 1; k < n; k++) sum -= (l[n * k + r] as number) * (b[k] as number);
    b[r] = sum / (l[n * r + r] as number);
  }
}

/**
 * Inverse of a symmetric positive definite matrix whose lower half is given (left as it is); null where it is none. Rows and columns are scaled
 * to a diagonal of ones first, so that parameters of very different size do not look dependent; `leastPivot` is the least share of a
 * parameter's own information that the others may leave it.
 */
export function invertPositive(a: Float64Array, n: number, leastPivot = 1e-14): Float64Array | null {
  const scale = Float64Array.from({ length: n }, (_, i) => 1 / Math.sqrt(a[n * i + i] as number));
  const l = Float64Array.from(a, (v, i) => v * (scale[Math.floor(i / n)] as number) * (scale[i % n] as number));
  if (!factorCholesky(l, n)) return null;
  for (let i = 0; i < n; i++) if (!((l[n * i + i] as number) ** 2 > leastPivot)) return null;
  const inverse = new Float64Array(n * n), column = new Float64Array(n);
  for (let c = 0; c < n; c++) {
    column.fill(0);
    column[c] = 1;
    solveFactored(l, column, n);
    for (let r = 0; r < n; r++) inverse[n * r + c] = (column[r] as number) * (scale[r] as number) * (scale[c] as number);
  }
  return inverse;
}

/** The whole of a symmetric matrix whose lower half is given. */
export function mirrored(lower: Float64Array, n: number): Float64Array {
  return Float64Array.from(lower, (v, i) => (i % n > Math.floor(i / n) ? lower[n * (i % n) + Math.floor(i / n)] as number : v));
}

export interface Eigen {
  /** Ascending. */
  readonly values: Float64Array;
  /** Row i is the unit eigenvector of `values[i]`. */
  readonly vectors: Float64Array;
}

const MOST_SWEEPS = 60;

/** Eigenvalues and eigenvectors of a symmetric matrix by cyclic Jacobi rotations (Golub and Van Loan, Matrix Computations, 8.5). `a` is left as it is. */
export function symmetricEigen(a: Float64Array, n: number): Eigen {
  const m = Float64Array.from(a), v = new Float64Array(n * n);
  for (let i = 0; i < n; i++) v[n * i + i] = 1;
  for (let sweep = 0; sweep < MOST_SWEEPS; sweep++) {
    let off = 0, all = 0;
    for (let r = 0; r < n; r++) for (let c = 0; c < n; c++) {
      const square = (m[n * r + c] as number) ** 2;
      all += square;
      if (r !== c) off += square;
    }
    if (!(off > 1e-32 * all)) break;
    for (let p = 0; p < n - 1; p++) for (let q = p + 1; q < n; q++) rotate(m, v, n, p, q);
  }
  const order = Array.from({ length: n }, (_, i) => i).sort((i, j) => (m[n * i + i] as number) - (m[n * j + j] as number));
  return { values: Float64Array.from(order, (i) => m[n * i + i] as number), vectors: Float64Array.from({ length: n * n }, (_, k) => v[n * (order[Math.floor(k / n)] as number) + k % n] as number) };
}

/** One rotation that makes m[p][q] zero; rows of `v` follow. */
function rotate(m: Float64Array, v: Float64Array, n: number, p: number, q: number): void {
  const apq = m[n * p + q] as number;
  if (apq === 0) return;
  const tau = ((m[n * q + q] as number) - (m[n * p + p] as number)) / (2 * apq);
  const t = (tau >= 0 ? 1 : -1) / (Math.abs(tau) + Math.sqrt(1 + tau * tau)), c = 1 / Math.sqrt(1 + t * t), s = t * c;
  for (let k = 0; k < n; k++) {
    const kp = m[n * k + p] as number, kq = m[n * k + q] as number;
    m[n * k + p] = c * kp - s * kq;
    m[n * k + q] = s * kp + c * kq;
  }
  for (let k = 0; k < n; k++) {
    const pk = m[n * p + k] as number, qk = m[n * q + k] as number, vp = v[n * p + k] as number, vq = v[n * q + k] as number;
    m[n * p + k] = c * pk - s * qk;
    m[n * q + k] = s * pk + c * qk;
    v[n * p + k] = c * vp - s * vq;
    v[n * q + k] = s * vp + c * vq;
  }
  m[n * p + q] = 0;
  m[n * q + p] = 0;
}
