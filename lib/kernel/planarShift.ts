/** One shift of a plane out of many components of it: least squares where both directions are told apart, else along the one that is. */

export interface PlanarSums { xx: number; xy: number; yy: number; xd: number; yd: number }

/** The less determined direction counts where the others say at least this share of it. */
const LEAST_SHARE = 0.05;

export function makePlanarSums(): PlanarSums {
  return { xx: 0, xy: 0, yy: 0, xd: 0, yd: 0 };
}

/** Adds: the shift's component along (x, y) is d. */
export function addComponent(sums: PlanarSums, x: number, y: number, d: number): void {
  sums.xx += x * x;
  sums.xy += x * y;
  sums.yy += y * y;
  sums.xd += x * d;
  sums.yd += y * d;
}

/** The shift [x, y]; [0, 0] without components. By the eigenvectors of the normal matrix, so that parallel components give the shift along themselves alone. */
export function planarShift({ xx, xy, yy, xd, yd }: PlanarSums): readonly [number, number] {
  const mean = (xx + yy) / 2, spread = Math.hypot((xx - yy) / 2, xy), most = mean + spread, least = mean - spread;
  if (!(most > 0)) return [0, 0];
  const angle = Math.atan2(2 * xy, xx - yy) / 2, c = Math.cos(angle), s = Math.sin(angle);
  const along = (c * xd + s * yd) / most, across = least > LEAST_SHARE * most ? (c * yd - s * xd) / least : 0;
  return [c * along - s * across, s * along + c * across];
}
