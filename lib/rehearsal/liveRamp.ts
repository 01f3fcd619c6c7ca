/** Movement from one standstill to the next under a greatest speed and one acceleration: speed rises, stays, falls (constant-acceleration kinematics). */
export interface Ramp {
  readonly lengthMm: number;
  readonly durationS: number;
  readonly accelMmS2: number;
  /** Way covered after so long, held inside 0 and the length. */
  sAt(afterS: number): number;
  /** Speed after so long, mm/s; 0 before the beginning and from the end on. */
  speedAt(afterS: number): number;
  /** When the way is covered, s after the beginning; Infinity beyond the length. */
  timeAt(sMm: number): number;
}

/**
 * A ramp over `lengthMm` (0 or more) that ends at rest. With `startMmS` it begins moving; the length must then leave room to brake
 * (startMmS² / 2a), or a RangeError tells so.
 */
export function makeRamp(lengthMm: number, topMmS: number, accelMmS2: number, startMmS = 0): Ramp {
  const a = accelMmS2, v0 = startMmS;
  if (!(lengthMm >= v0 * v0 / (2 * a) - 1e-9)) throw new RangeError(`no room to brake from ${v0} mm/s in ${lengthMm} mm at ${a} mm/s²`);
  const peak = Math.max(v0, Math.min(topMmS, Math.sqrt(a * lengthMm + v0 * v0 / 2)));
  const riseS = (peak - v0) / a, riseMm = (peak * peak - v0 * v0) / (2 * a), fallS = peak / a;
  const evenMm = Math.max(0, lengthMm - riseMm - peak * peak / (2 * a)), evenS = peak > 0 ? evenMm / peak : 0;
  const durationS = riseS + evenS + fallS;
  return {
    lengthMm, durationS, accelMmS2,
    sAt(t) {
      if (t <= 0) return 0;
      if (t >= durationS) return lengthMm;
      if (t < riseS) return v0 * t + a * t * t / 2;
      if (t < riseS + evenS) return riseMm + peak * (t - riseS);
      return lengthMm - a * (durationS - t) ** 2 / 2;
    },
    speedAt(t) {
      if (t < 0 || t >= durationS) return 0;
      return Math.min(v0 + a * t, peak, a * (durationS - t));
    },
    timeAt(s) {
      if (s <= 0) return 0;
      if (s >= lengthMm) return s > lengthMm + 1e-9 ? Infinity : durationS;
      if (s < riseMm) return (Math.sqrt(v0 * v0 + 2 * a * s) - v0) / a;
      if (s < riseMm + evenMm) return riseS + (s - riseMm) / peak;
      return durationS - Math.sqrt(2 * (lengthMm - s) / a);
    },
  };
}
