/** Circle x0, z0, r through points, with the covariance of (x0, z0, r). */
export interface CircleFit { x0: number; z0: number; r: number; cov: Float64Array; rms: number }

/**
 * Circle through (x, z) whose noise is in z alone (standard deviation `sigma`): Kåsa's linear fit, then Gauss–Newton on the
 * distance from the circle, each point weighted by the noise that its z brings along the radius. Checked against exact circles.
 * Null with fewer than 5 points or where no circle is determined.
 */
export function fitCircle(x: Float64Array, z: Float64Array, from: number, to: number, sigma: number): CircleFit | null {
  if (to - from < 5) return null;
  const start = kasa(x, z, from, to);
  if (start === null) return null;
  let { x0, z0, r } = start;
  const m = new Float64Array(9);
  const g = new Float64Array(3);
  const floor = (0.15 * sigma) * (0.15 * sigma); // points at the equator say where the flank is, but not infinitely well
  let chi = 0;
  for (let pass = 0; pass < 4; pass++) {
    m.fill(0);
    g.fill(0);
    chi = 0;
    for (let i = from; i < to; i++) {
      const dx = (x[i] as number) - x0, dz = (z[i] as number) - z0;
      const d = Math.sqrt(dx * dx + dz * dz);
      if (d < 1e-9) continue;
      const ux = dx / d, uz = dz / d;
      const w = 1 / (sigma * sigma * uz * uz + floor);
      const e = d - r;
      chi += w * e * e;
      accumulate(m, g, w, e, -ux, -uz, -1);
    }
    const inverse = invert3(m);
    if (inverse === null) return null;
    x0 -= inverse[0]! * g[0]! + inverse[1]! * g[1]! + inverse[2]! * g[2]!;
    z0 -= inverse[3]! * g[0]! + inverse[4]! * g[1]! + inverse[5]! * g[2]!;
    r -= inverse[6]! * g[0]! + inverse[7]! * g[1]! + inverse[8]! * g[2]!;
    if (pass === 3) return r > 0 ? { x0, z0, r, cov: inverse, rms: Math.sqrt(chi / (to - from)) } : null;
  }
  return null;
}

function accumulate(m: Float64Array, g: Float64Array, w: number, e: number, a: number, b: number, c: number): void {
  m[0]! += w * a * a; m[1]! += w * a * b; m[2]! += w * a * c;
  m[3]! += w * a * b; m[4]! += w * b * b; m[5]! += w * b * c;
  m[6]! += w * a * c; m[7]! += w * b * c; m[8]! += w * c * c;
  g[0]! += w * a * e; g[1]! += w * b * e; g[2]! += w * c * e;
}

function kasa(x: Float64Array, z: Float64Array, from: number, to: number): { x0: number; z0: number; r: number } | null {
  const n = to - from;
  let mx = 0, mz = 0;
  for (let i = from; i < to; i++) { mx += (x[i] as number) / n; mz += (z[i] as number) / n; }
  let xx = 0, xz = 0, zz = 0, xq = 0, zq = 0, q = 0;
  for (let i = from; i < to; i++) {
    const dx = (x[i] as number) - mx, dz = (z[i] as number) - mz;
    const s = dx * dx + dz * dz;
    xx += dx * dx; xz += dx * dz; zz += dz * dz; xq += dx * s; zq += dz * s; q += s;
  }
  const det = xx * zz - xz * xz;
  if (!(det > 1e-12 * xx * xx)) return null;
  const ax = (zz * xq - xz * zq) / (2 * det), az = (xx * zq - xz * xq) / (2 * det);
  return { x0: mx + ax, z0: mz + az, r: Math.sqrt(ax * ax + az * az + q / n) };
}

/** Inverse of a symmetric 3 × 3 matrix (row-major); null where it is singular. */
export function invert3(m: Float64Array): Float64Array | null {
  const a = m[0]!, b = m[1]!, c = m[2]!, d = m[3]!, e = m[4]!, f = m[5]!, g = m[6]!, h = m[7]!, i = m[8]!;
  const A = e * i - f * h, B = f * g - d * i, C = d * h - e * g;
  const det = a * A + b * B + c * C;
  if (!(Math.abs(det) > 1e-300)) return null;
  return Float64Array.of(A / det, (c * h - b * i) / det, (b * f - c * e) / det, B / det, (a * i - c * g) / det, (c * d - a * f) / det, C / det, (b * g - a * h) / det, (a * e - b * d) / det);
}
