import { describe, expect, it } from "vitest";
import { factorCholesky, invertPositive, solveFactored, symmetricEigen } from "../../lib/kernel/dense.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";

/** B Bᵀ + n · 1 of a stream of chance. */
function positive(n: number, seed: number): Float64Array {
  const random = makeRandom(seed, "matrix"), b = Float64Array.from({ length: n * n }, () => random.gauss());
  return Float64Array.from({ length: n * n }, (_, i) => { let sum = i % (n + 1) === 0 ? 1 : 0; for (let k = 0; k < n; k++) sum += b[n * Math.floor(i / n) + k]! * b[n * (i % n) + k]!; return sum; });
}

describe("dense", () => {
  it("factors [[4, 12, −16], [12, 37, −43], [−16, −43, 98]] into rows (2), (6, 1), (−8, 5, 3), the usual worked example of Cholesky's method", () => {
    const a = Float64Array.of(4, 0, 0, 12, 37, 0, -16, -43, 98);
    expect(factorCholesky(a, 3)).toBe(true);
    expect([...a]).toEqual([2, 0, 0, 6, 1, 0, -8, 5, 3]);
    const b = Float64Array.of(4 - 24 - 48, 12 - 74 - 129, -16 + 86 + 294); // of x = (1, −2, 3)
    solveFactored(a, b, 3);
    expect([...b].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([1, -2, 3]);
  });

  it("refuses what is not positive definite: [[1, 2], [2, 1]] has the eigenvalue −1", () => {
    expect(factorCholesky(Float64Array.of(1, 0, 2, 1), 2)).toBe(false);
    expect(invertPositive(Float64Array.of(1, 2, 2, 1), 2)).toBeNull();
    expect(invertPositive(Float64Array.of(1, 1, 1, 1), 2)).toBeNull();
  });

  it("A A⁻¹ = 1 to 1e-10 for sizes of 1e12 apart on the diagonal (seeds 1 to 5)", () => {
    for (const seed of [1, 2, 3, 4, 5]) {
      const n = 6, scale = [1e6, 1, 1e-6, 30, 0.2, 7], a = positive(n, seed).map((v, i) => v * scale[Math.floor(i / n)]! * scale[i % n]!), inverse = invertPositive(a, n)!;
      for (let r = 0; r < n; r++) for (let c = 0; c < n; c++) {
        let sum = 0;
        for (let k = 0; k < n; k++) sum += a[n * r + k]! * inverse[n * k + c]!;
        expect(sum * scale[c]! / scale[r]!).toBeCloseTo(r === c ? 1 : 0, 10);
      }
    }
  });

  it("gives eigenvalues 1 and 3 of [[2, 1], [1, 2]] with (1, −1) and (1, 1)", () => {
    const { values, vectors } = symmetricEigen(Float64Array.of(2, 1, 1, 2), 2);
    expect([...values].map((v) => Number(v.toFixed(12)))).toEqual([1, 3]);
    expect(vectors[0]! * vectors[1]!).toBeCloseTo(-0.5, 12);
    expect(vectors[2]! * vectors[3]!).toBeCloseTo(0.5, 12);
  });

  it("A v = λ v to 1e-12 and vectors square to each other for 9 × 9 (seeds 6 to 9)", () => {
    for (const seed of [6, 7, 8, 9]) {
      const n = 9, a = positive(n, seed), { values, vectors } = symmetricEigen(a, n);
      for (let i = 0; i < n; i++) for (let r = 0; r < n; r++) {
        let image = 0, inner = 0;
        for (let k = 0; k < n; k++) {
          image += a[n * r + k]! * vectors[n * i + k]!;
          inner += vectors[n * i + k]! * vectors[n * r + k]!;
        }
        expect(Math.abs(image - values[i]! * vectors[n * i + r]!)).toBeLessThan(1e-12 * values[n - 1]!);
        expect(inner).toBeCloseTo(i === r ? 1 : 0, 12);
      }
      expect([...values]).toEqual([...values].sort((x, y) => x - y));
    }
  });
});
