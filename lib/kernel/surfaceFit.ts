/** A smooth height field through scattered points: a polynomial of degree 3 in x and y, by least squares. */
import { factorCholesky, solveFactored } from "./dense.ts";

const DEGREE = 3, TERMS = 10;
/** Added to the diagonal as a share of it, so that terms which the points do not determine come out small. */
const RIDGE = 1e-9;

export interface SurfaceFit {
  /** Height at (x, y); beyond the points it is carried on. */
  heightAt(x: number, y: number): number;
  /** Root mean square of what is left of the points' heights. */
  readonly rms: number;
}

/** null with fewer points than the polynomial has terms, or where all lie on one spot. */
export function fitSurface(x: Float64Array, y: Float64Array, z: Float64Array): SurfaceFit | null {
  const count = x.length, [x0, y0, z0] = [mean(x), mean(y), mean(z)];
  let reach = 0;
  for (let i = 0; i < count; i++) reach = Math.max(reach, Math.abs((x[i] as number) - x0), Math.abs((y[i] as number) - y0));
  if (count < TERMS || !(reach > 0)) return null;
  const row = new Float64Array(TERMS), normal = new Float64Array(TERMS * TERMS), right = new Float64Array(TERMS);
  for (let i = 0; i < count; i++) {
    writeTerms(((x[i] as number) - x0) / reach, ((y[i] as number) - y0) / reach, row);
    for (let r = 0; r < TERMS; r++) {
      right[r] = (right[r] as number) + (row[r] as number) * ((z[i] as number) - z0);
      for (let c = 0; c <= r; c++) normal[TERMS * r + c] = (normal[TERMS * r + c] as number) + (row[r] as number) * (row[c] as number);
    }
  }
  for (let r = 0; r < TERMS; r++) normal[TERMS * r + r] = (normal[TERMS * r + r] as number) * (1 + RIDGE) + RIDGE;
  factorCholesky(normal, TERMS);
  solveFactored(normal, right, TERMS);
  const heightAt = (atX: number, atY: number): number => {
    writeTerms((atX - x0) / reach, (atY - y0) / reach, row);
    let sum = z0;
    for (let k = 0; k < TERMS; k++) sum += (row[k] as number) * (right[k] as number);
    return sum;
  };
  let squares = 0;
  for (let i = 0; i < count; i++) squares += ((z[i] as number) - heightAt(x[i] as number, y[i] as number)) ** 2;
  return { heightAt, rms: Math.sqrt(squares / count) };
}

function mean(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

function writeTerms(u: number, v: number, out: Float64Array): void {
  let k = 0;
  for (let i = 0; i <= DEGREE; i++) for (let j = 0; i + j <= DEGREE; j++) out[k++] = u ** i * v ** j;
}
