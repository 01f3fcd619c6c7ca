import type { Reading } from "../model/reading.ts";
import type { Metric, StationLimits, Verdict } from "../model/result.ts";
import { GOOD_COVERAGE } from "./bands.ts";
import { asHung } from "./hung.ts";

/** What a reading means, and which metric and limit said so. */
export interface Judgement {
  readonly verdict: Verdict;
  readonly proven: boolean;
  /** null for inBand, watch, unmeasured. */
  readonly cause: { readonly metric: Metric; readonly value: number; readonly limit: number } | null;
}

export interface PlannedBead { readonly widthMm: number; readonly heightMm: number; readonly areaMm2: number }

export interface Rule {
  /** Guard factor: g = guard · u. */
  readonly guard: number;
  /** False: nothing is called good (a translucent material whose bias is not stated). */
  readonly mayBeGood: boolean;
}

export const UNMEASURED: Judgement = { verdict: "unmeasured", proven: false, cause: null };

interface Value { readonly metric: Metric; readonly value: number; readonly g: number }

/** Verdict of one good reading, looked for in the order gap, lifted, displaced, area, width, height. A spanned bead is under or over by the area and height that it has as it hangs; a gap is what is not there, and good is only what lies in band as it was seen. */
export function judgeReading(reading: Reading, planned: PlannedBead, limits: StationLimits, rule: Rule): Judgement {
  const hung = asHung(reading, planned);
  const whole: Value = { metric: "areaRatio", value: reading.areaMm2 / planned.areaMm2, g: rule.guard * reading.uAreaMm2 / planned.areaMm2 };
  const area: Value = { metric: "areaRatio", value: hung.areaMm2 / planned.areaMm2, g: rule.guard * hung.uAreaMm2 / planned.areaMm2 };
  const width: Value = { metric: "widthMm", value: reading.widthMm - planned.widthMm, g: rule.guard * reading.uWidthMm };
  const height: Value = { metric: "heightMm", value: hung.heightMm - planned.heightMm, g: rule.guard * hung.uHeightMm };
  const seenHeight: Value = { metric: "heightMm", value: reading.heightMm - planned.heightMm, g: rule.guard * reading.uHeightMm };
  const offset: Value = { metric: "offsetMm", value: reading.offsetMm, g: rule.guard * reading.uOffsetMm };
  return gapOrBeside(reading, whole, offset, limits) ?? lifted(height, width, limits) ?? displaced(offset, limits)
    ?? overOrUnder(area, 1, limits.areaRatio.act) ?? overOrUnder(width, 0, limits.widthMm.act) ?? overOrUnder(height, 0, limits.heightMm.act)
    ?? (rule.mayBeGood && isGood(reading, { area: whole, width, height: seenHeight, offset }, limits) ? { verdict: "inBand", proven: true, cause: null } : { verdict: "watch", proven: false, cause: null });
}

/** g over half the limit's distance from the plan settles nothing. NaN settles nothing either. */
function settles(v: Value, distance: number): boolean {
  return v.value === v.value && v.g <= distance / 2;
}

function gapOrBeside(reading: Reading, area: Value, offset: Value, limits: StationLimits): Judgement | null {
  if (!(area.value < limits.gapRatio) || !settles(area, 1 - limits.gapRatio)) return null;
  if (reading.outsideRatio >= limits.gapRatio) {
    const beyond = Math.abs(offset.value) - limits.offsetMm.act;
    return { verdict: "displaced", proven: beyond > offset.g, cause: { metric: "offsetMm", value: offset.value, limit: limits.offsetMm.act } };
  }
  return { verdict: "gap", proven: area.value + area.g < limits.gapRatio, cause: { metric: "areaRatio", value: area.value, limit: limits.gapRatio } };
}

function lifted(height: Value, width: Value, limits: StationLimits): Judgement | null {
  if (!(height.value > limits.liftMm) || !settles(height, limits.liftMm)) return null;
  const [low, high] = limits.widthMm.act;
  if (!(width.value >= low && width.value <= high)) return null;
  return { verdict: "lifted", proven: height.value - height.g > limits.liftMm, cause: { metric: "heightMm", value: height.value, limit: limits.liftMm } };
}

function displaced(offset: Value, limits: StationLimits): Judgement | null {
  const limit = limits.offsetMm.act;
  if (!(Math.abs(offset.value) > limit) || !settles(offset, limit)) return null;
  return { verdict: "displaced", proven: Math.abs(offset.value) - offset.g > limit, cause: { metric: "offsetMm", value: offset.value, limit } };
}

function overOrUnder(v: Value, plan: number, act: readonly [number, number]): Judgement | null {
  const [low, high] = act;
  if (v.value < low && settles(v, plan - low)) return { verdict: "under", proven: v.value + v.g < low, cause: { metric: v.metric, value: v.value, limit: low } };
  if (v.value > high && settles(v, high - plan)) return { verdict: "over", proven: v.value - v.g > high, cause: { metric: v.metric, value: v.value, limit: high } };
  return null;
}

function isGood(reading: Reading, v: { area: Value; width: Value; height: Value; offset: Value }, limits: StationLimits): boolean {
  if (reading.coverage < GOOD_COVERAGE || !reading.crownSeen) return false;
  const inside = (x: Value, plan: number, band: { watch: readonly [number, number]; act: readonly [number, number] }): boolean => {
    if (x.value !== x.value) return true; // not measured: an unseen flank says nothing for or against
    return settles(x, plan - band.act[0]) && settles(x, band.act[1] - plan) && x.value - x.g >= band.watch[0] && x.value + x.g <= band.watch[1];
  };
  const o = limits.offsetMm;
  return inside(v.area, 1, limits.areaRatio) && inside(v.width, 0, limits.widthMm) && inside(v.height, 0, limits.heightMm)
    && inside(v.offset, 0, { watch: [-o.watch, o.watch], act: [-o.act, o.act] });
}
