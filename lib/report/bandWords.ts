/** Limits as they were in force, in words, one block for each kind of planned bead. */
import type { StationLimits, StationResult } from "../model/result.ts";
import type { BandWords } from "../model/sheet.ts";
import { signed } from "./valueWords.ts";

const deviation = ([low, high]: readonly [number, number]): string => `${signed(low)} to ${signed(high)} mm`;
const ratio = ([low, high]: readonly [number, number]): string => `${low.toFixed(2)} to ${high.toFixed(2)}`;

function rowsOf(limits: StationLimits): BandWords["rows"] {
  return [
    { name: "area ratio", watch: ratio(limits.areaRatio.watch), act: ratio(limits.areaRatio.act) },
    { name: "width against plan", watch: deviation(limits.widthMm.watch), act: deviation(limits.widthMm.act) },
    { name: "height against plan", watch: deviation(limits.heightMm.watch), act: deviation(limits.heightMm.act) },
    { name: "offset from the path", watch: `up to ${limits.offsetMm.watch.toFixed(2)} mm`, act: `up to ${limits.offsetMm.act.toFixed(2)} mm` },
    { name: "gap, area ratio below", watch: "–", act: limits.gapRatio.toFixed(2) },
    { name: "lifted, top too high by", watch: "–", act: `${limits.liftMm.toFixed(2)} mm` },
    { name: "off the path, footprint from", watch: "–", act: `${limits.strayAreaMm2.toFixed(2)} mm²` },
  ];
}

/** Kinds of bead that are spelled out; a plan whose beads all differ would fill a book. */
const MOST_BEADS = 4;

/** One block a set of limits; `beads[i]` is a planned bead that set i is in force for, null where no station has it. */
export function bandWords(limits: readonly StationLimits[], beads: readonly (StationResult["planned"] | null)[]): BandWords[] {
  return limits.slice(0, MOST_BEADS).map((set, i) => {
    const planned = beads[i] ?? null;
    const size = planned === null ? "any bead" : `bead ${planned.widthMm.toFixed(2)} × ${planned.heightMm.toFixed(2)} mm`;
    const more = i === MOST_BEADS - 1 && limits.length > MOST_BEADS ? `; ${limits.length - MOST_BEADS} more sizes have limits of their own, shown with each station` : "";
    return { bead: `${size}${more}`, rows: rowsOf(set) };
  });
}
