import type { StationResult } from "../model/result.ts";
import { csvCell } from "./csvCell.ts";

type Cell = string | number | boolean | null;

/** Columns of the stations table, in order; a cell is empty where nothing was measured. */
const COLUMNS: readonly (readonly [string, (s: StationResult) => Cell])[] = [
  ["layer", (s) => s.layer], ["strand", (s) => s.strand], ["s_mm", (s) => s.sMm], ["attempt", (s) => s.attempt],
  ["x_mm", (s) => s.position[0]], ["y_mm", (s) => s.position[1]], ["z_mm", (s) => s.position[2]], ["laid", (s) => (s.laid ? 1 : 0)],
  ["planned_width_mm", (s) => s.planned.widthMm], ["planned_height_mm", (s) => s.planned.heightMm], ["planned_area_mm2", (s) => s.planned.areaMm2],
  ["width_mm", (s) => s.measured?.widthMm ?? null], ["width_u_mm", (s) => s.u?.widthMm ?? null],
  ["height_mm", (s) => s.measured?.heightMm ?? null], ["height_u_mm", (s) => s.u?.heightMm ?? null],
  ["area_mm2", (s) => s.measured?.areaMm2 ?? null], ["area_u_mm2", (s) => s.u?.areaMm2 ?? null],
  ["offset_mm", (s) => s.measured?.offsetMm ?? null], ["offset_u_mm", (s) => s.u?.offsetMm ?? null],
  ["area_ratio", (s) => s.areaRatio], ["coverage", (s) => s.measured?.coverage ?? null], ["support", (s) => s.measured?.support ?? null],
  ["age_s", (s) => s.measured?.ageS ?? null], ["sag_mm", (s) => s.sagMm], ["verdict", (s) => s.verdict], ["proven", (s) => (s.proven ? 1 : 0)],
  ["camera_state", (s) => s.camera?.state ?? null], ["camera_width_mm", (s) => s.camera?.widthMm ?? null], ["camera_width_u_mm", (s) => s.camera?.u.widthMm ?? null], ["camera_file", (s) => (s.camera === null ? null : csvCell(s.camera.file))],
];

/** The heading's line: names in snake_case with their unit. */
export const STATIONS_HEADING = `${COLUMNS.map(([name]) => name).join(",")}\n`;

/** One line a station, ended by LF; "" for none. */
export function stationLines(stations: readonly StationResult[]): string {
  return stations.map((station) => `${COLUMNS.map(([, of]) => of(station) ?? "").join(",")}\n`).join("");
}

/** Heading and lines. */
export function stationsCsv(stations: readonly StationResult[]): string {
  return `${STATIONS_HEADING}${stationLines(stations)}`;
}
