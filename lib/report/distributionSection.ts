/** The report's section on how the strands of each layer are distributed, how capable that makes them, and whether they drift while the print goes on. */
import { centredFallout } from "../formula/capability.ts";
import type { ReportBlock, ReportSection, ReportTable } from "../model/report.ts";
import type { StrandMean } from "../model/strandMean.ts";
import { QUANTITIES, distributionOf, type Distribution, type PlannedBead } from "./distributionValues.ts";
import { ONE_STRAND_ONE_VALUE, driftCaution, falloutWords, noCapabilityWords, normalityWords, resemblanceWords, trendSentence, trendWords } from "./distributionWords.ts";
import { QUANTITY_NAMES, histogramDrawing } from "./histogramDrawing.ts";
import { decimalsFor, numberText } from "./plot.ts";
import { counted } from "./words.ts";

export interface DistributionInput {
  readonly means: readonly StrandMean[];
  /** `plannedBeads` of the result's stations. */
  readonly beads: readonly PlannedBead[];
  /** Reference clock, s, that minutes of laying are counted from; null: the first strand that was laid. */
  readonly beganS: number | null;
}

const column = (title: string, isNumber = true): ReportTable["columns"][number] => ({ title, isNumber });

/** "2.001856 ± 0.000122"; without ± where one strand alone says nothing of it. */
function withPlusMinus(value: number, u: number, decimals: number): string {
  return Number.isFinite(value) && Number.isFinite(u) ? `${numberText(value, decimals)} ± ${numberText(u, decimals)}` : numberText(value, decimals);
}

function meansTable(layer: number, all: readonly Distribution[], strandCount: number): ReportTable {
  return {
    caption: `Strand means of layer ${layer}`,
    columns: [column("quantity", false), column("strands"), column("mean ± U95"), column("s"), column("r₁")],
    rows: all.map(({ quantity, values, summary: { mean, sd, u95 }, r1 }) => {
      const decimals = decimalsFor(sd);
      return [QUANTITY_NAMES[quantity], `${values.length} of ${strandCount}`, withPlusMinus(mean, u95, decimals), numberText(sd, decimals), numberText(r1, 3)];
    }),
  };
}

/** "0.67 (0.21–1.12)". */
const withInterval = (value: number, [from, to]: readonly [number, number]): string => `${numberText(value, 2)} (${numberText(from, 2)} to ${numberText(to, 2)})`;

function capabilityTable(layer: number, all: readonly Distribution[]): ReportTable {
  return {
    caption: `Layer ${layer} against the act limits; in brackets the interval that holds it in 95 of 100 such samples, if values are normal`,
    columns: [column("quantity", false), column("act limits"), column("strands"), column("Cp"), column("Cpk"), column("off the middle, k"), column("outside, if centred and normal")],
    rows: all.map(({ quantity, act, values, capability }) => [
      QUANTITY_NAMES[quantity], act === null ? "–" : `${numberText(act.lower, 3)} to ${numberText(act.upper, 3)}`, String(values.length),
      ...(capability === null ? ["–", "–", "–", "–"] : [withInterval(capability.cp, capability.cp95), withInterval(capability.cpk, capability.cpk95), numberText(capability.k, 2), falloutWords(centredFallout(capability.cp))]),
    ]),
  };
}

function trendTable(layer: number, all: readonly Distribution[]): ReportTable {
  return {
    caption: `Layer ${layer}: strand means by the time of laying, a straight line by least squares`,
    columns: [column("quantity", false), column("strands"), column("slope ± U95, per min"), column("at 0 min ± U95"), column("R²"), column("trend", false)],
    rows: all.flatMap((each) => (each.trend === null ? [] : [[
      QUANTITY_NAMES[each.quantity], String(each.trend.n), withPlusMinus(each.trend.slope, each.trend.slopeU95, decimalsFor(each.trend.slopeU95)),
      withPlusMinus(each.trend.intercept, each.trend.interceptU95, decimalsFor(each.trend.interceptU95)), numberText(each.trend.r2, 6), trendWords(each),
    ]])),
  };
}

/** "one bead of 1.00 × 0.50 mm", "beads of 0.80 to 1.00 × 0.50 mm". */
function beadWords(beads: readonly PlannedBead[]): string {
  const span = (values: readonly number[]): string => {
    const low = Math.min(...values).toFixed(2), high = Math.max(...values).toFixed(2);
    return low === high ? low : `${low} to ${high}`;
  };
  return beads.length === 0 ? "no bead is planned" : `planned ${span(beads.map(({ widthMm }) => widthMm))} mm wide and ${span(beads.map(({ heightMm }) => heightMm))} mm high`;
}

function layerBlocks(layer: number, means: readonly StrandMean[], beads: readonly PlannedBead[], beganS: number): ReportBlock[] {
  const all = QUANTITIES.map((quantity) => distributionOf(quantity, { means, beads, beganS })), trends = trendTable(layer, all);
  const words = (text: string | null): ReportBlock[] => (text === null ? [] : [{ kind: "words", text }]);
  const caution = (text: string | null): ReportBlock[] => (text === null ? [] : [{ kind: "caution", text }]);
  return [
    { kind: "heading", text: `Layer ${layer}: ${counted(means.length, "strand")}, ${beadWords(beads)}` },
    { kind: "drawing", drawing: histogramDrawing(layer, all) },
    { kind: "table", table: meansTable(layer, all, means.length) },
    ...caution(resemblanceWords(all)), ...words(normalityWords(all)),
    { kind: "table", table: capabilityTable(layer, all) }, ...words(noCapabilityWords(all)),
    ...words(trendSentence(all)), ...caution(driftCaution(all)), ...(trends.rows.length === 0 ? [] : [{ kind: "table" as const, table: trends }]),
  ];
}

/** Layer by layer; says so where no means were kept or nothing was measured. */
export function distributionSection({ means, beads, beganS }: DistributionInput): ReportSection {
  const laid = means.map(({ laidS }) => laidS).filter((at) => at !== null), from = beganS ?? (laid.length === 0 ? 0 : Math.min(...laid));
  const layers = [...new Set(means.map(({ layer }) => layer))].toSorted((a, b) => a - b), isSeen = means.some((mean) => QUANTITIES.some((quantity) => mean[quantity] !== null));
  const blocks: ReportBlock[] = means.length === 0 ? [{ kind: "words", text: "No strand means were kept with this result: it was made before they were. A recompute makes them." }]
    : !isSeen ? [{ kind: "words", text: "No strand was measured, so nothing can be said of how strands are distributed." }]
    : [{ kind: "words", text: ONE_STRAND_ONE_VALUE }, ...layers.flatMap((layer) => layerBlocks(layer, means.filter((each) => each.layer === layer), beads.filter((each) => each.layer === layer), from))];
  return { id: "distributions", title: "How the strands are distributed", blocks };
}
