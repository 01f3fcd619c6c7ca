/**
 * The one definition of "missing": NaN inside typed arrays, `null` outside.
 * Never 0, never undefined, and `??` in place of `||` on numbers.
 */

/** NaN (and only NaN) becomes null. Infinity is a bug and throws. */
export function orNull(value: number): number | null {
  if (value === Infinity || value === -Infinity) throw new RangeError("an infinite number is never a reading");
  return Number.isNaN(value) ? null : value;
}

/** null becomes NaN. */
export function orNaN(value: number | null): number {
  return value ?? Number.NaN;
}
