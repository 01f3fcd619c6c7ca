/** From the texts of a form to the changes of a job's bands that they say. */
import type { BandTexts } from "./recompute.ts";

export type BandChanges = { readonly tolerance: Readonly<Record<string, unknown>> };

const numberOf = (text: string): number | string => (text.trim() === "" ? "" : Number.isFinite(Number(text)) ? Number(text) : text); // the server names what is no number

const even = (watchMm: string, actMm: string): unknown => {
  const both = [numberOf(watchMm), numberOf(actMm)] as const;
  const around = (half: number | string): unknown => (typeof half === "number" ? [-half, half] : half);
  return watchMm.trim() === "" && actMm.trim() === "" ? null : { watch: around(both[0]), act: around(both[1]) };
};

/** The part of a job that each group of fields says; null: the limit follows the planned bead. */
const GROUPS: readonly { readonly key: string; readonly fields: readonly (keyof BandTexts)[]; readonly said: (texts: BandTexts) => unknown }[] = [
  {
    key: "areaRatio", fields: ["areaRatioWatchLow", "areaRatioWatchHigh", "areaRatioActLow", "areaRatioActHigh"],
    said: (t) => ({ watch: [numberOf(t.areaRatioWatchLow), numberOf(t.areaRatioWatchHigh)], act: [numberOf(t.areaRatioActLow), numberOf(t.areaRatioActHigh)] }),
  },
  { key: "widthMm", fields: ["widthWatchMm", "widthActMm"], said: (t) => even(t.widthWatchMm, t.widthActMm) },
  { key: "heightMm", fields: ["heightWatchMm", "heightActMm"], said: (t) => even(t.heightWatchMm, t.heightActMm) },
  {
    key: "offsetMm", fields: ["offsetWatchMm", "offsetActMm"],
    said: (t) => (t.offsetWatchMm.trim() === "" && t.offsetActMm.trim() === "" ? null : { watch: numberOf(t.offsetWatchMm), act: numberOf(t.offsetActMm) }),
  },
  { key: "gapRatio", fields: ["gapRatio"], said: (t) => numberOf(t.gapRatio) },
  { key: "decisionRule", fields: ["guard"], said: (t) => `guarded-${t.guard.trim()}` },
];

/** Of the groups in which something was typed, what they say now; the job's own stands in all others. */
export function changedBands(own: BandTexts, typed: BandTexts): BandChanges {
  const changed = GROUPS.filter(({ fields }) => fields.some((field) => own[field].trim() !== typed[field].trim()));
  return { tolerance: Object.fromEntries(changed.map(({ key, said }) => [key, said(typed)])) };
}
