/** The small picture of a run in a list: every strand as a line, cut into stretches of one meaning. */
import type { Verdict } from "../model/result.ts";
import type { StretchLook, ThumbnailStrand } from "../model/sheet.ts";

const LOOKS: Readonly<Record<Verdict, StretchLook>> = {
  inBand: "seen", watch: "seen", under: "under", over: "over", gap: "gap", lifted: "lifted", displaced: "displaced",
  unmeasured: "blank", pending: "planned", removed: "planned",
};

export interface OutlineStation {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly verdict: Verdict;
}

/** Stations in order of layer, strand and s. A stretch reaches half-way to the stations of another meaning. */
export function buildThumbnail(stations: readonly OutlineStation[]): ThumbnailStrand[] {
  const strands: { layer: number; strand: number; lengthMm: number; stretches: { fromMm: number; toMm: number; look: StretchLook }[] }[] = [];
  for (const station of stations) {
    const look = LOOKS[station.verdict];
    let strand = strands.at(-1);
    if (strand === undefined || strand.layer !== station.layer || strand.strand !== station.strand) {
      strand = { layer: station.layer, strand: station.strand, lengthMm: 0, stretches: [] };
      strands.push(strand);
    }
    const last = strand.stretches.at(-1);
    if (last === undefined) strand.stretches.push({ fromMm: station.sMm, toMm: station.sMm, look });
    else if (last.look === look) last.toMm = station.sMm;
    else {
      const halfWayMm = (last.toMm + station.sMm) / 2;
      last.toMm = halfWayMm;
      strand.stretches.push({ fromMm: halfWayMm, toMm: station.sMm, look });
    }
    strand.lengthMm = station.sMm;
  }
  return strands;
}
