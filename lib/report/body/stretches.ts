/** Stations in a row of which the same is true, as stretches of a strand. */
import type { StationResult } from "../../model/result.ts";
import { byStrand } from "./bodyInput.ts";

export interface Stretch { readonly layer: number; readonly strand: number; readonly attempt: number; readonly fromMm: number; readonly toMm: number; readonly stations: readonly StationResult[] }

/** In order of layer, strand and s. `stations` likewise; attempts are told apart. */
export function stretchesWhere(stations: readonly StationResult[], is: (at: StationResult) => boolean): Stretch[] {
  return byStrand(stations).flatMap((strand) => {
    const found: StationResult[][] = [];
    strand.forEach((at, i) => {
      if (!is(at)) return;
      const before = strand[i - 1];
      if (before !== undefined && is(before) && before.attempt === at.attempt) found.at(-1)?.push(at);
      else found.push([at]);
    });
    return found.map((those): Stretch => {
      const first = those[0] as StationResult;
      return { layer: first.layer, strand: first.strand, attempt: first.attempt, fromMm: first.sMm, toMm: (those.at(-1) as StationResult).sMm, stations: those };
    });
  });
}

export const stretchWords = ({ fromMm, toMm }: Pick<Stretch, "fromMm" | "toMm">): string => `${fromMm.toFixed(1)}–${toMm.toFixed(1)}`;
