/** The picture in words. */
import { FINDING_MARKS } from "../../../lib/model/marks.ts";
import type { SheetFinding, SheetLayer } from "../../../lib/model/sheet.ts";
import { countPlannedSizes } from "./looks.ts";

/** "layer 3 over layers 1 and 2", "layer 3 over layers 1 to 2", "all 6 layers". */
export function layerWords(layers: readonly SheetLayer[], layer: number | null): string {
  const below = layers.filter((each) => layer !== null && each.layer < layer).map((each) => each.layer);
  if (layer === null || layers.length === 1) return layers.length === 1 ? `layer ${layers[0]?.layer}` : `all ${layers.length} layers`;
  const [first, last] = [below[0], below.at(-1)];
  if (first === undefined || last === undefined) return `layer ${layer}`;
  return `layer ${layer} over ${first === last ? `layer ${first}` : `layers ${first}${last === first + 1 ? " and " : " to "}${last}`}`;
}

/** Said under the picture where some beads have no measured size of their own; null: all have, or there are none. */
export function plannedSizeWords(layers: readonly SheetLayer[]): string | null {
  const { bodies, asPlanned } = countPlannedSizes(layers.flatMap(({ strands }) => strands));
  return asPlanned === 0 ? null : `${asPlanned} of ${bodies} measured stations are drawn with a planned width or height: their own was not seen.`;
}

export interface PictureWords {
  readonly layers: readonly SheetLayer[];
  readonly layer: number | null;
  readonly seen: string;
  readonly scale: string;
  readonly findings: readonly SheetFinding[];
  readonly nozzle: { readonly layer: number; readonly strand: number; readonly sMm: number } | null;
  readonly isOld: boolean;
}

/** For those who do not see it. */
export function pictureWords({ layers, layer, seen, scale, findings, nozzle, isOld }: PictureWords): string {
  const shown = layers.filter((each) => layer === null || each.layer <= layer), strands = shown.flatMap((each) => each.strands);
  const { bodies } = countPlannedSizes(strands), all = strands.reduce((sum, { sMm }) => sum + sMm.length, 0);
  const where = findings.map((finding) => `${FINDING_MARKS[finding.kind].label} ${finding.whereWords} of layer ${finding.layer}, ${finding.rangeWords}`).join("; ");
  return [
    `Target in parallel projection, ${scale}, seen ${seen}: ${layerWords(layers, layer)}, ${bodies} of ${all} stations drawn as measured beads.`,
    nozzle === null ? "" : `The nozzle is on strand ${nozzle.strand} of layer ${nozzle.layer} at ${nozzle.sMm.toFixed(1)} mm.`,
    where === "" ? "No findings are tagged." : `Tagged: ${where}.`, isOld ? "What it shows is old." : "",
  ].filter((part) => part !== "").join(" ");
}
