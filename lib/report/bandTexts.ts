/** Bands as the texts of a form begin with them. */
import type { Band, Tolerance } from "../model/job.ts";
import type { BandTexts } from "../model/recompute.ts";

/** Half the width of a band that reaches as far down as up; "" for another, which one number cannot say, and for one that follows the planned bead. */
function evenHalf(band: Band | null, which: "watch" | "act"): string {
  const [low, high] = band?.[which] ?? [Number.NaN, Number.NaN];
  return low === -high ? String(high) : "";
}

/** `guard`: K of the decision rule. */
export function bandTexts({ areaRatio, widthMm, heightMm, offsetMm, gapRatio }: Tolerance, guard: number): BandTexts {
  return {
    areaRatioWatchLow: String(areaRatio.watch[0]), areaRatioWatchHigh: String(areaRatio.watch[1]), areaRatioActLow: String(areaRatio.act[0]), areaRatioActHigh: String(areaRatio.act[1]),
    widthWatchMm: evenHalf(widthMm, "watch"), widthActMm: evenHalf(widthMm, "act"), heightWatchMm: evenHalf(heightMm, "watch"), heightActMm: evenHalf(heightMm, "act"),
    offsetWatchMm: offsetMm === null ? "" : String(offsetMm.watch), offsetActMm: offsetMm === null ? "" : String(offsetMm.act), gapRatio: String(gapRatio), guard: String(guard),
  };
}
