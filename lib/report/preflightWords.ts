/** The pre-flight list and the support as found, in words. */
import { PREFLIGHT_RULES, type Detour, type Preflight, type PreflightItem, type PreflightLine, type PreflightSheet, type PreflightUnit } from "../model/preflight.ts";
import type { NoGo, SupportFound, SupportSheet } from "../model/supportFound.ts";
import { mm } from "./findingWords.ts";
import { signed } from "./valueWords.ts";
import { capital, counted, percent, percentAsked } from "./words.ts";

/** Lines on a page at most; the rest is counted. */
const MOST_LINES = 200;

export function preflightSheet(preflight: Preflight): PreflightSheet {
  const { items, notChecked, detours, totals, assumptions } = preflight;
  return {
    sentence: preflightSentence(preflight),
    totals: `${mm(totals.lengthMm)} mm of path, ${totals.volumeMm3.toFixed(1)} mm³ of paste, ${totals.layingTimeS.toFixed(0)} s of laying alone`,
    lines: items.slice(0, MOST_LINES).map(lineOf), moreCount: Math.max(0, items.length - MOST_LINES),
    notChecked: notChecked.map(({ kind, reason }) => ({ label: PREFLIGHT_RULES[kind].about, reason })),
    detours: detours.map(detourWords), assumptions,
  };
}

/** What a calm colleague would say of the plan. */
export function preflightSentence({ items, notChecked }: Preflight): string {
  const acts = items.filter((item) => item.severity === "act").length, [first] = items;
  const open = notChecked.length === 0 ? "" : ` ${capital(counted(notChecked.length, "check"))} could not be made, or not everywhere.`;
  if (first === undefined) return `Nothing was found against the plan.${open}`;
  const parts = [...(acts > 0 ? [counted(acts, "act item")] : []), ...(items.length > acts ? [counted(items.length - acts, "watch item")] : [])];
  return `The plan has ${parts.join(" and ")}, the first at ${whereWords(first)}: ${lowered(PREFLIGHT_RULES[first.kind].label)}.${open}`;
}

function lineOf(item: PreflightItem): PreflightLine {
  const { layer, strand, sMm, other } = item;
  return {
    severity: item.severity, label: PREFLIGHT_RULES[item.kind].label, where: whereWords(item),
    value: withUnit(item.value, item.unit), limit: `limit ${withUnit(item.limit, item.unit)}`,
    other: other === null ? "" : `with strand ${other.strand} of layer ${other.layer} at ${mm(other.sMm)} mm`,
    place: { layer, strand, sMm },
  };
}

function whereWords({ layer, strand, fromMm, toMm }: PreflightItem): string {
  return `layer ${layer}, strand ${strand}, ${mm(fromMm)}–${mm(toMm)} mm`;
}

function detourWords({ layer, strand, seenMm, leastMm, mostMm, leastS, mostS }: Detour): { where: string; words: string } {
  const where = `layer ${layer}, strand ${strand}`;
  if (leastMm === null || mostMm === null || leastS === null || mostS === null) return { where, words: "never seen" };
  return { where, words: `${mm(seenMm)} mm of it seen, ${mm(leastMm)} to ${mm(mostMm)} mm of path and ${leastS.toFixed(1)} to ${mostS.toFixed(1)} s after laying` };
}

/** Digits by size: 0, 0.021, 0.34, 12.5, 240; a true minus. */
function withUnit(value: number, unit: PreflightUnit): string {
  const size = Math.abs(value), text = size.toFixed(size >= 100 ? 0 : size >= 10 ? 1 : size >= 0.1 ? 2 : size > 0 ? 3 : 0);
  return `${value < 0 && Number(text) !== 0 ? "−" : ""}${text}${unit === "°" ? "" : "\u00a0"}${unit}`;
}

function lowered(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

const BECAUSE: Readonly<Record<NoGo, (found: SupportFound) => string>> = {
  notSeen: ({ seenFraction, limits }) => (seenFraction === 0 ? "nothing of it was seen beforehand" : `only ${percent(seenFraction)} of its ground was seen beforehand, and ${percentAsked(limits.seenFraction)} is asked for`),
  outside: ({ outsideFraction, limits }) => `${percent(outsideFraction)} of the ground that was seen lies outside the band, and ${percentAsked(limits.outsideFraction)} may`,
};

export function supportSheet(found: SupportFound): SupportSheet {
  const { worst, bandMm, seenFraction, outsideFraction } = found;
  const deviation = (value: number | null): string => (value === null ? "not seen" : `${signed(value, 3)} mm`);
  return {
    sentence: supportSentence(found), bandMm, maps: found.maps,
    rows: [
      { name: "mean over the planned base", value: deviation(found.meanMm) },
      { name: "5th and 95th percentile", value: found.p5Mm === null ? "not seen" : `${deviation(found.p5Mm)}, ${deviation(found.p95Mm)}` },
      { name: "largest against its limit", value: worst === null ? "not seen" : `${deviation(worst.overMm)} of ${deviation(worst.limitMm)}, strand ${worst.strand} at ${mm(worst.sMm)} mm` },
      { name: "band", value: `${deviation(bandMm[0])} to ${deviation(bandMm[1])}` },
      { name: "seen", value: percent(seenFraction) },
      { name: "outside the band", value: percent(outsideFraction) },
    ],
  };
}

/** Go or no go, why, and where. */
export function supportSentence(found: SupportFound): string {
  const { worst } = found;
  const place = worst === null ? "" : ` It comes nearest to its limit at strand ${worst.strand}, ${mm(worst.sMm)} mm: ${signed(worst.overMm, 3)} mm, limit ${signed(worst.limitMm, 3)} mm.`;
  if (found.go) return `Go: the target lies within the first layer's height band.${place}`;
  const left = worst === null ? "" : ` The worst is at strand ${worst.strand}, ${mm(worst.sMm)} mm: ${signed(worst.overMm, 3)} mm, limit ${signed(worst.limitMm, 3)} mm.`;
  return `No go for layer 1: ${found.because.map((why) => BECAUSE[why](found)).join("; ")}.${left}`;
}
