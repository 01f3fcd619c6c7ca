/** The findings of a result as a table, with what people decided about them. */
import { DISPOSITION_LABELS, DISPOSITION_REASONS, type FindingDisposition } from "../model/disposition.ts";
import type { Finding } from "../model/result.ts";
import { csvCell } from "./csvCell.ts";

interface Row { readonly finding: Finding; readonly findingIndex: number; readonly decided: FindingDisposition | null }
type Cell = string | number | null;

/** Of the worst place: the metric with its unit, as its value and limit have it. */
const METRICS: Readonly<Record<string, string>> = { areaRatio: "area_ratio", widthMm: "width_deviation_mm", heightMm: "height_deviation_mm", offsetMm: "offset_mm", coverage: "coverage", areaMm2: "area_mm2", pasteFraction: "paste_fraction", poseErrorMm: "pose_error_mm" };

const worstOf = ({ finding }: Row): { readonly metric: string; readonly value: number | null; readonly limit: number } | null => ("worst" in finding ? finding.worst : null);

/** Columns in order; a cell is empty where a kind has no such thing, or nobody decided. */
const COLUMNS: readonly (readonly [string, (row: Row) => Cell])[] = [
  ["finding", ({ findingIndex }) => findingIndex + 1], ["kind", ({ finding }) => finding.kind], ["severity", ({ finding }) => finding.severity], ["proven", ({ finding }) => (finding.proven ? 1 : 0)],
  ["layer", ({ finding }) => finding.layer], ["strand", ({ finding }) => ("strand" in finding ? finding.strand : null)],
  ["from_mm", ({ finding }) => ("fromMm" in finding ? finding.fromMm : null)], ["to_mm", ({ finding }) => ("toMm" in finding ? finding.toMm : null)],
  ["length_mm", ({ finding }) => ("lengthMm" in finding ? finding.lengthMm : null)],
  ["x_mm", ({ finding }) => finding.position[0]], ["y_mm", ({ finding }) => finding.position[1]], ["z_mm", ({ finding }) => finding.position[2]],
  ["area_mm2", ({ finding }) => ("areaMm2" in finding ? finding.areaMm2 : null)], ["volume_mm3", ({ finding }) => ("volumeMm3" in finding ? finding.volumeMm3 : null)],
  ["worst_metric", (row) => METRICS[worstOf(row)?.metric ?? ""] ?? null], ["worst_value", (row) => worstOf(row)?.value ?? null], ["worst_limit", (row) => worstOf(row)?.limit ?? null],
  ["disposition", ({ decided }) => (decided === null ? null : DISPOSITION_LABELS[decided.disposition])],
  ["disposition_reason", ({ decided }) => (decided === null ? null : DISPOSITION_REASONS[decided.disposition].find(({ code }) => code === decided.reason)?.label ?? decided.reason)],
  ["disposition_note", ({ decided }) => (decided === null || decided.note === "" ? null : decided.note)],
  ["decided_by", ({ decided }) => decided?.actor ?? null], ["decided_at", ({ decided }) => decided?.at ?? null],
  ["frame_file", ({ finding }) => ("file" in finding ? finding.file ?? null : null)], ["device", ({ finding }) => ("device" in finding ? finding.device : null)],
  ["camera_state", ({ finding }) => ("camera" in finding ? finding.camera : null)], ["profiler_verdict", ({ finding }) => ("verdict" in finding ? finding.verdict : null)],
];

/**
 * One line a finding in the result's own order (`finding` from 1), lines ended by LF. `dispositions` of the run in the order of the log: the last one
 * for a finding of this result counts. The unit of worst_value and worst_limit is that in which worst_metric's name ends.
 */
export function findingsCsv(resultId: string, findings: readonly Finding[], dispositions: readonly FindingDisposition[]): string {
  const rows = findings.map((finding, findingIndex): Row => ({ finding, findingIndex, decided: dispositions.findLast((each) => each.resultId === resultId && each.findingIndex === findingIndex) ?? null }));
  return [COLUMNS.map(([name]) => name), ...rows.map((row) => COLUMNS.map(([, of]) => csvCell(of(row))))].map((cells) => `${cells.join(",")}\n`).join("");
}
