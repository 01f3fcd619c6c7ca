/** Stations of a sheet as a page chooses them: finished runs and live ones alike. */
import type { SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import { nearestStation } from "./laneGeometry.ts";

/** A station of a strand of a layer, by its index. */
export interface StationPick { readonly layer: number; readonly strand: number; readonly station: number }

export function strandOf(layers: readonly SheetLayer[], { layer, strand }: Pick<StationPick, "layer" | "strand">): SheetStrand | undefined {
  return layers.find((each) => each.layer === layer)?.strands.find((each) => each.strand === strand);
}

function nearestOn(strand: SheetStrand, sMm: number): StationPick {
  return { layer: strand.layer, strand: strand.strand, station: Math.max(0, nearestStation(strand, sMm)) };
}

/** The station nearest to a place along its strand; null: there is no such strand. */
export function pickAt(layers: readonly SheetLayer[], { sMm, ...place }: Pick<StationPick, "layer" | "strand"> & { readonly sMm: number }): StationPick | null {
  const strand = strandOf(layers, place);
  return strand === undefined ? null : nearestOn(strand, sMm);
}

/** The first station of a layer; null: it has none. */
export function pickOfLayer(layers: readonly SheetLayer[], layer: number): StationPick | null {
  const strand = layers.find((each) => each.layer === layer)?.strands[0];
  return strand === undefined ? null : { layer, strand: strand.strand, station: 0 };
}

/** One step on (+1) or back (−1): along the strand, or to the same length along the next strand or the next layer's first. null: nowhere to go. */
export function stepped(layers: readonly SheetLayer[], pick: StationPick, what: "layer" | "strand" | "station", by: 1 | -1): StationPick | null {
  const layerAt = layers.findIndex(({ layer }) => layer === pick.layer), strands = layers[layerAt]?.strands ?? [];
  const strandAt = strands.findIndex(({ strand }) => strand === pick.strand), here = strands[strandAt];
  if (here === undefined) return null;
  if (what === "station") {
    const station = pick.station + by;
    return station < 0 || station >= here.sMm.length ? null : { ...pick, station };
  }
  const there = what === "strand" ? strands[strandAt + by] : layers[layerAt + by]?.strands[0];
  return there === undefined ? null : nearestOn(there, here.sMm[pick.station] ?? 0);
}
