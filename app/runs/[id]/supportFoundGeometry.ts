/** The support map as a few paths: cells of one class run together, row by row. */
import type { SupportMap } from "../../../lib/model/supportFound.ts";

/** From under the band to over it; what was not seen has no class. */
export const SUPPORT_CLASSES = ["underBand", "under", "near", "over", "overBand"] as const;
export type SupportClass = (typeof SUPPORT_CLASSES)[number];

/** Outside the band, in the outer half of one side, or in the inner halves. */
export function classOf(overMm: number, [low, high]: readonly [number, number]): SupportClass {
  if (overMm < low) return "underBand";
  if (overMm > high) return "overBand";
  return overMm < low / 2 ? "under" : overMm > high / 2 ? "over" : "near";
}

/** Path data in mm from the top left corner, u to the right and v up the page; "" for a class that has no cell. */
export function supportPaths(map: SupportMap, bandMm: readonly [number, number]): Readonly<Record<SupportClass, string>> {
  const paths: Record<SupportClass, string> = { underBand: "", under: "", near: "", over: "", overBand: "" };
  const size = (cells: number): string => String(Number((cells * map.cellMm).toFixed(3)));
  for (let v = 0; v < map.nv; v++) {
    for (let u = 0; u < map.nu;) {
      const over = map.overUm[v * map.nu + u] ?? null;
      if (over === null) {
        u++;
        continue;
      }
      const here = classOf(over / 1000, bandMm), from = u;
      for (u++; u < map.nu; u++) {
        const next = map.overUm[v * map.nu + u] ?? null;
        if (next === null || classOf(next / 1000, bandMm) !== here) break;
      }
      paths[here] += `M${size(from)} ${size(map.nv - 1 - v)}h${size(u - from)}v${size(1)}H${size(from)}z`;
    }
  }
  return paths;
}

/** A centre line as path data in the same millimetres. */
export function strandPath(map: SupportMap, uvMm: readonly number[]): string {
  const points: string[] = [];
  for (let i = 0; i + 1 < uvMm.length; i += 2) points.push(`${uvMm[i]} ${Number((map.nv * map.cellMm - (uvMm[i + 1] as number)).toFixed(3))}`);
  return `M${points.join("L")}`;
}
