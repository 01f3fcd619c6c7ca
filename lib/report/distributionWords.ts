/** What may be said, and what may not, of the strand means of a layer. */
import { LEAST_TO_TELL, type Distribution, type Quantity } from "./distributionValues.ts";
import { numberText } from "./plot.ts";
import { counted, percent } from "./words.ts";

const SPOKEN: Readonly<Record<Quantity, string>> = { areaRatio: "area ratio", widthDevMm: "width", heightDevMm: "height", offsetMm: "offset" };

/** "width", "width and offset", "width, height and offset". */
function listed(all: readonly Distribution[]): string {
  const names = all.map(({ quantity }) => SPOKEN[quantity]);
  return names.length < 2 ? names[0] ?? "" : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}

const capital = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}`;

/** Said once at the section's head. */
export const ONE_STRAND_ONE_VALUE = "One strand is one value. Stations along a strand are autocorrelated: counted singly they would make every mean look surer than it is. "
  + "± is the expanded uncertainty of the mean for 95 %, t of n − 1 times s/√n (JCGM 100); s is the standard deviation from strand to strand; r₁ says how much a strand resembles the one laid before it.";

/** Whether the values may be called normal; null: nothing was measured. */
export function normalityWords(all: readonly Distribution[]): string | null {
  const seen = all.filter(({ values }) => values.length > 0), few = seen.filter(({ isOdd }) => isOdd === null), odd = seen.filter(({ isOdd }) => isOdd === true), even = seen.filter(({ isOdd }) => isOdd === false);
  const least = Math.min(...few.map(({ values }) => values.length));
  const said = [
    few.length === 0 ? null : least < LEAST_TO_TELL ? `With ${counted(least, "strand")} there are too few to tell whether ${listed(few)} ${few.length === 1 ? "is" : "are"} distributed normally; ${LEAST_TO_TELL} are needed.`
      : `${capital(listed(few))} ${few.length === 1 ? "does" : "do"} not vary at all.`,
    odd.length === 0 ? null : `${capital(listed(odd))} ${odd.length === 1 ? "is" : "are"} not distributed normally (Anderson–Darling at 5 %): shares outside limits that are reckoned from Cp or Cpk do not hold there.`,
    even.length === 0 ? null : `Nothing speaks against a normal distribution of ${listed(even)} (Anderson–Darling at 5 %), which does not prove one.`,
  ].filter((each) => each !== null);
  return said.length === 0 ? null : said.join(" ");
}

/** Neighbours that resemble each other, or alternate, more than chance does (|r₁| > 2/√n): the ± of a mean then is too small, or too large; null: none do. */
export function resemblanceWords(all: readonly Distribution[]): string | null {
  const odd = all.filter(({ r1, values }) => Math.abs(r1) > 2 / Math.sqrt(values.length)), alike = odd.filter(({ r1 }) => r1 > 0), turning = odd.filter(({ r1 }) => r1 < 0);
  const factor = (those: readonly Distribution[]): string => those.map(({ r1 }) => `r₁ ${numberText(r1, 3)}`).join(", ");
  const said = [
    alike.length === 0 ? null : `Strands laid one after another resemble each other in ${listed(alike)} (${factor(alike)}): the ± of ${alike.length === 1 ? "this mean" : "these means"} is too small, and a drift may hide in s, Cp and Cpk.`,
    turning.length === 0 ? null : `Strands laid one after another alternate in ${listed(turning)} (${factor(turning)}): forth and back may differ, and the ± of ${turning.length === 1 ? "this mean" : "these means"} is rather too large.`,
  ].filter((each) => each !== null);
  return said.length === 0 ? null : said.join(" ");
}

/** "0.27 %", "63 in a million", "under one in a million" of a fraction. */
export function falloutWords(fraction: number): string {
  return fraction >= 1e-3 ? percent(fraction, 2) : fraction >= 1e-6 ? `${(fraction * 1e6).toFixed(0)} in a million` : "under one in a million";
}

/** Why a quantity has no Cp and Cpk; null: each has one. */
export function noCapabilityWords(all: readonly Distribution[]): string | null {
  const without = all.filter((each) => each.capability === null);
  const said = (those: readonly Distribution[], because: string): string | null => (those.length === 0 ? null : `No Cp and Cpk of ${listed(those)}: ${because}.`);
  const words = [
    said(without.filter(({ values }) => values.length < 2), "fewer than two strands were measured"),
    said(without.filter(({ values, act }) => values.length >= 2 && act === null), "the act limits differ between the beads of this layer"),
    said(without.filter(({ values, act }) => values.length >= 2 && act !== null), "the strand means do not vary, or the limits leave no room"),
  ].filter((each) => each !== null);
  return words.length === 0 ? null : words.join(" ");
}

/** "rises, proven"; a slope is proven where it is larger than its expanded uncertainty. */
export function trendWords({ trend }: Distribution): string {
  if (trend === null) return "–";
  return Math.abs(trend.slope) > trend.slopeU95 ? `${trend.slope > 0 ? "rises" : "falls"}, proven` : "not proven";
}

/** Capability supposes a process that stands still; null: no drift of a quantity with Cp and Cpk is proven. */
export function driftCaution(all: readonly Distribution[]): string | null {
  const drifting = all.filter((each) => each.capability !== null && trendWords(each).endsWith(", proven"));
  return drifting.length === 0 ? null : `Cp and Cpk of ${listed(drifting)} describe no steady state: ${drifting.length === 1 ? "it goes" : "they go"} one way while the print goes on.`;
}

/** What a trend is worth, said over its table. */
export function trendSentence(all: readonly Distribution[]): string {
  const known = all.filter(({ trend }) => trend !== null), proven = known.filter((each) => trendWords(each).endsWith(", proven"));
  if (known.length === 0) return "Nothing is said of a trend: fewer than three strands with a time of laying were measured, or all were laid at once.";
  return proven.length === 0 ? "No trend with the time of laying is proven: each slope lies within its expanded uncertainty."
    : `With the time of laying ${listed(proven)} ${proven.length === 1 ? "goes" : "go"} one way (the slope is larger than its expanded uncertainty, t of n − 2); a trend is no cause.`;
}
