/** Rows of a resume against the cell's own plan: whether they keep to it, and how far the first stretch of them goes. */
import { dot, norm, scale, sub, tripleAt, type Vec3 } from "../kernel/vec.ts";
import type { PlanRow } from "./liveCommand.ts";
import type { PlannedStrand } from "./planned.ts";
import type { RehearsalSettings } from "./settings.ts";

/** Rows of a resume may lie so far off the plan, mm. */
export const ROW_OFF_MM = 0.05;

/** This cell follows its own plan: rows that leave it, or ask for another bead, are refused. null: they keep to it. */
export function rowsRefusal(rows: readonly PlanRow[], strands: readonly PlannedStrand[], { widthMm, heightMm, speedMmS }: RehearsalSettings): string | null {
  const differs = (asked: number | null, planned: number): boolean => asked !== null && Math.abs(asked - planned) > 1e-3 * planned;
  for (const row of rows) {
    const strand = strands.find((one) => one.layer === row.layer && one.strand === row.strand);
    if (strand === undefined) return `rows: no strand ${row.strand} in layer ${row.layer}`;
    if (placesOf(strand, row).length === 0) return `rows: a point lies over ${ROW_OFF_MM} mm off strand ${row.strand} of layer ${row.layer}`;
    if (differs(row.widthMm, widthMm) || differs(row.heightMm, heightMm) || differs(row.speedMmS, speedMmS)) return "rows: another bead or speed than planned";
  }
  return null;
}

/** Where the first stretch of a strand ends that the rows lay without a break, mm along it; it begins near `fromMm`. null: they lay nothing of it. Rows as `rowsRefusal` lets pass. */
export function firstStretchEnd(rows: readonly PlanRow[], strand: PlannedStrand, fromMm: number): number | null {
  const isOn = (row: PlanRow): boolean => row.layer === strand.layer && row.strand === strand.strand;
  const first = rows.findIndex(isOn);
  if (first < 0) return null;
  let endMm = nearest(placesOf(strand, rows[first] as PlanRow), fromMm);
  for (let i = first + 1; i < rows.length; i++) {
    const row = rows[i] as PlanRow;
    if (!isOn(row) || rows[i - 1]?.flowMm3S === 0) break; // nothing flows from a dry row to the next
    const beforeMm = endMm;
    endMm = placesOf(strand, row).find((sMm) => sMm >= beforeMm - ROW_OFF_MM) ?? beforeMm;
  }
  return endMm;
}

function nearest(places: readonly number[], sMm: number): number {
  return places.reduce((best, place) => (Math.abs(place - sMm) < Math.abs(best - sMm) ? place : best));
}

interface RowPlace { readonly chord: number; readonly sMm: number; readonly offMm: number }

/** Every place of a strand that a row may mean, mm along it, in order; a ring's ends lie on each other. None: the row lies off it. */
function placesOf({ waypoints, track, arcMm }: PlannedStrand, { xMm, yMm, zMm }: PlanRow): number[] {
  const point: Vec3 = [xMm, yMm, zMm], places: RowPlace[] = [];
  for (let i = 1; i < waypoints.length; i++) {
    const from = waypoints[i - 1] as number, to = waypoints[i] as number, a = tripleAt(track.pointsMm, from);
    const along = sub(tripleAt(track.pointsMm, to), a), away = sub(point, a), f = Math.max(0, Math.min(1, dot(along, away) / dot(along, along)));
    const offMm = norm(sub(away, scale(along, f)));
    if (offMm > ROW_OFF_MM) continue;
    const place = { chord: i, sMm: (arcMm[from] as number) + f * ((arcMm[to] as number) - (arcMm[from] as number)), offMm }, before = places.at(-1);
    if (before?.chord !== i - 1) places.push(place);
    else places[places.length - 1] = place.offMm < before.offMm ? place : { ...before, chord: i }; // chords that follow each other: the nearest is meant
  }
  return places.map(({ sMm }) => sMm);
}
