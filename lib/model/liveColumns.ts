/** Readings as they come, put into the columns of strands that are drawn: the same on the server for the first picture and in the browser for the next ones. */
import type { LiveReading } from "./liveEvent.ts";
import { SUPPORT_KINDS, VERDICTS } from "./result.ts";
import { NO_SUPPORT, type SheetLayer, type SheetStrand } from "./sheet.ts";

type Changed = Pick<SheetStrand, "attempt" | "laid" | "widthMm" | "heightMm" | "areaMm2" | "areaRatio" | "offsetMm" | "coverage" | "ageS" | "verdict" | "proven" | "uWidthMm" | "uHeightMm" | "uAreaMm2" | "uOffsetMm" | "support" | "sagMm">;
const CHANGED = ["attempt", "laid", "widthMm", "heightMm", "areaMm2", "areaRatio", "offsetMm", "coverage", "ageS", "verdict", "proven", "uWidthMm", "uHeightMm", "uAreaMm2", "uOffsetMm", "support", "sagMm"] as const satisfies readonly (keyof Changed)[];

/** Strands that readings change are new objects, the others are the same ones: what is drawn of them need not be drawn again. A reading of a strand that is not there is left out. */
export function withReadings(layers: readonly SheetLayer[], readings: readonly LiveReading[]): readonly SheetLayer[] {
  const byStrand = new Map<string, LiveReading[]>();
  for (const reading of readings) {
    const key = `${reading.layer}/${reading.strand}`, those = byStrand.get(key);
    if (those === undefined) byStrand.set(key, [reading]);
    else those.push(reading);
  }
  return layers.map((layer) => {
    if (!readings.some((reading) => reading.layer === layer.layer)) return layer;
    return { ...layer, strands: layer.strands.map((strand) => {
      const those = byStrand.get(`${strand.layer}/${strand.strand}`);
      return those === undefined ? strand : changed(strand, those);
    }) };
  });
}

function changed(strand: SheetStrand, readings: readonly LiveReading[]): SheetStrand {
  const columns = Object.fromEntries(CHANGED.map((key) => [key, strand[key].slice()])) as unknown as Changed;
  for (const reading of readings) {
    const { stationIndex: i, verdict, areaRatio } = reading;
    if (i >= strand.sMm.length) continue;
    const isThere = verdict !== "removed", orNaN = (value: number | null): number => (isThere ? value ?? Number.NaN : Number.NaN);
    columns.attempt[i] = reading.attempt;
    columns.laid[i] = isThere ? 1 : 0;
    columns.widthMm[i] = orNaN(reading.widthMm);
    columns.heightMm[i] = orNaN(reading.heightMm);
    columns.areaRatio[i] = orNaN(areaRatio);
    columns.areaMm2[i] = orNaN(areaRatio * (strand.plannedAreaMm2[i] as number));
    columns.offsetMm[i] = orNaN(reading.offsetMm);
    columns.coverage[i] = orNaN(reading.coverage);
    columns.ageS[i] = orNaN(reading.ageS);
    columns.uWidthMm[i] = orNaN(reading.uWidthMm);
    columns.uHeightMm[i] = orNaN(reading.uHeightMm);
    columns.uAreaMm2[i] = orNaN(reading.uAreaMm2);
    columns.uOffsetMm[i] = orNaN(reading.uOffsetMm);
    columns.sagMm[i] = orNaN(reading.sagMm);
    columns.support[i] = reading.support === null ? NO_SUPPORT : SUPPORT_KINDS.indexOf(reading.support);
    columns.verdict[i] = VERDICTS.indexOf(verdict);
    columns.proven[i] = reading.proven ? 1 : 0;
  }
  return { ...strand, ...columns };
}
