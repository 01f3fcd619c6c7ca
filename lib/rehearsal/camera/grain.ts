/** Solid noise: a smooth random function of a place in space, the same for a salt on every call. */

/** Hash of a lattice point, uniform in [−1, 1) (an integer mixer of our own, multiply and shift). */
function corner(x: number, y: number, z: number, salt: number): number {
  let h = Math.imul(x, 0x27d4eb2d) ^ Math.imul(y, 0x165667b1) ^ Math.imul(z, 0x1b873593) ^ salt;
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
  h = Math.imul(h ^ (h >>> 12), 0x297a2d39);
  h ^= h >>> 15;
  return h / 2147483648;
}

/** Mean square of what interpolation leaves of a corner's 1/3, over places: (∫ (1 − s)² + s²)³ with s = 3t² − 2t³ is (26/35)³. */
const UNIT = Math.sqrt(3 / (26 / 35) ** 3);

/** Value noise with cubic steps between lattice points 1 apart; mean 0, standard deviation 1. */
export function solidNoise(x: number, y: number, z: number, salt: number): number {
  const xi = Math.floor(x), yi = Math.floor(y), zi = Math.floor(z);
  const fx = x - xi, fy = y - yi, fz = z - zi, sx = fx * fx * (3 - 2 * fx), sy = fy * fy * (3 - 2 * fy), sz = fz * fz * (3 - 2 * fz);
  let sum = 0;
  for (let k = 0; k < 2; k++) {
    for (let j = 0; j < 2; j++) {
      const w = (k === 0 ? 1 - sz : sz) * (j === 0 ? 1 - sy : sy);
      const a = corner(xi, yi + j, zi + k, salt), b = corner(xi + 1, yi + j, zi + k, salt);
      sum += w * (a + sx * (b - a));
    }
  }
  return UNIT * sum;
}

/** Two octaves of it, standard deviation 1: the second of half the size and half the height. */
export function grainAt(x: number, y: number, z: number, lengthMm: number, salt: number): number {
  const k = 1 / lengthMm;
  return (solidNoise(k * x, k * y, k * z, salt) + 0.5 * solidNoise(2 * k * x + 0.37, 2 * k * y + 0.71, 2 * k * z + 0.13, salt + 1)) / Math.sqrt(1.25);
}
