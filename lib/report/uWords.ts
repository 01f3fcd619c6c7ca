/** Measured values with their expanded uncertainty, as a report states them: U = k · u with k = 2, about 95 % where errors are normal (JCGM 100, 6.2). */
import { numberText } from "./plot.ts";
import { signed } from "./valueWords.ts";

export const COVERAGE_FACTOR = 2;

/** Decimals that U deserves: one significant digit of it, two where that begins with 1 (JCGM 100, 7.2.6: at most two); at most 4, at least 2. */
export function decimalsFor(expanded: number | null): number {
  if (expanded === null || !(expanded > 0)) return 2;
  const exponent = Math.floor(Math.log10(expanded)), leading = expanded / 10 ** exponent;
  return Math.min(4, Math.max(2, -exponent + (leading < 2 ? 1 : 0)));
}

/** "0.98 ± 0.04": U stands for 2 u; "–" where nothing was measured. */
export function withExpandedU(value: number | null, u: number | null, isDeviation = false): string {
  if (value === null) return "–";
  const expanded = u === null ? null : COVERAGE_FACTOR * u, digits = decimalsFor(expanded), text = isDeviation ? signed(value, digits) : numberText(value, digits);
  return expanded === null ? text : `${text}\u00a0±\u00a0${expanded.toFixed(digits)}`;
}
