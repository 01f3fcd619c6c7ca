/** Patterns that a process in control shows seldom: Nelson 1984, rules 1–8, and the four Western Electric rules (1956), both from memory. `z`: distance from the centre line in standard deviations. */

export const RUN_RULES = ["N1", "N2", "N3", "N4", "N5", "N6", "N7", "N8", "WE1", "WE2", "WE3", "WE4"] as const;
export type RunRule = (typeof RUN_RULES)[number];

export const RULE_WORDS: Readonly<Record<RunRule, string>> = {
  N1: "one run beyond 3 standard deviations",
  N2: "nine runs in a row on one side of the centre line",
  N3: "six runs in a row that only rise or only fall",
  N4: "fourteen runs in a row that go up and down by turns",
  N5: "two of three runs in a row beyond 2 standard deviations on one side",
  N6: "four of five runs in a row beyond 1 standard deviation on one side",
  N7: "fifteen runs in a row within 1 standard deviation",
  N8: "eight runs in a row beyond 1 standard deviation on either side",
  WE1: "one run beyond 3 standard deviations",
  WE2: "two of three runs in a row beyond 2 standard deviations on one side",
  WE3: "four of five runs in a row beyond 1 standard deviation on one side",
  WE4: "eight runs in a row on one side of the centre line",
};

/** `at`: index from 0 of the run by which the pattern is whole. */
export interface RuleHit { readonly rule: RunRule; readonly at: number }

/** The last `count` values up to and with `end`; null where there are not so many. */
const lastOf = (z: readonly number[], end: number, count: number): readonly number[] | null => (end + 1 < count ? null : z.slice(end + 1 - count, end + 1));

/** At least `need` of the last `of` lie beyond `limit` on one side, the newest among them. */
function someBeyond(z: readonly number[], end: number, { need, of, limit }: { readonly need: number; readonly of: number; readonly limit: number }): boolean {
  const last = z.slice(Math.max(0, end + 1 - of), end + 1), newest = z[end] as number;
  return [1, -1].some((side) => side * newest > limit && last.filter((each) => side * each > limit).length >= need);
}

/** All of the last `count` lie on one side. */
function oneSide(z: readonly number[], end: number, count: number): boolean {
  const last = lastOf(z, end, count);
  return last !== null && (last.every((each) => each > 0) || last.every((each) => each < 0));
}

/** Steps between the last `count` values; null where there are not so many. */
function lastSteps(z: readonly number[], end: number, count: number): number[] | null {
  return lastOf(z, end, count)?.slice(1).map((each, i) => each - (z[end + 1 - count + i] as number)) ?? null;
}

const CHECKS: Readonly<Record<RunRule, (z: readonly number[], end: number) => boolean>> = {
  N1: (z, end) => Math.abs(z[end] as number) > 3,
  N2: (z, end) => oneSide(z, end, 9),
  N3: (z, end) => {
    const steps = lastSteps(z, end, 6);
    return steps !== null && (steps.every((step) => step > 0) || steps.every((step) => step < 0));
  },
  N4: (z, end) => lastSteps(z, end, 14)?.every((step, i, all) => step !== 0 && (i === 0 || step * (all[i - 1] as number) < 0)) ?? false,
  N5: (z, end) => someBeyond(z, end, { need: 2, of: 3, limit: 2 }),
  N6: (z, end) => someBeyond(z, end, { need: 4, of: 5, limit: 1 }),
  N7: (z, end) => lastOf(z, end, 15)?.every((each) => Math.abs(each) < 1) ?? false,
  N8: (z, end) => lastOf(z, end, 8)?.every((each) => Math.abs(each) > 1) ?? false,
  WE1: (z, end) => Math.abs(z[end] as number) > 3,
  WE2: (z, end) => someBeyond(z, end, { need: 2, of: 3, limit: 2 }),
  WE3: (z, end) => someBeyond(z, end, { need: 4, of: 5, limit: 1 }),
  WE4: (z, end) => oneSide(z, end, 8),
};

/** Every place at which a rule is met, in order of place and rule; a pattern that goes on is met again with each further run. */
export function ruleHits(z: readonly number[], rules: readonly RunRule[] = RUN_RULES): RuleHit[] {
  return z.flatMap((_, at) => rules.filter((rule) => CHECKS[rule](z, at)).map((rule) => ({ rule, at })));
}
