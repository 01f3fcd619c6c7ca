/** Warnings, and the cautions that close every report. */
import type { Warning } from "../../base/errors.ts";
import type { ReportSection } from "../../model/report.ts";
import { counted } from "../words.ts";

export function warningsSection(warnings: readonly Warning[]): ReportSection {
  const title = "Warnings";
  if (warnings.length === 0) return { id: "warnings", title, blocks: [{ kind: "words", text: "Reading the run gave no warnings." }] };
  const rows = warnings.map(({ code, message, file, line }) => [code, message, [file, line].filter((part) => part !== undefined && part !== null).join(":")]);
  return { id: "warnings", title, blocks: [{ kind: "words", text: `Reading the run gave ${counted(warnings.length, "warning")}.` }, { kind: "table", table: { caption: "Warnings", columns: ["code", "what", "where"].map((name) => ({ title: name, isNumber: false })), rows } }] };
}

export const CAUTIONS: readonly string[] = [
  "For research and bench use. Aslaid is not a medical device and not an emergency stop; it watches, and does not make a print safe.",
  "Hardware stops, the cell’s own limits and the responsible licensed people come first. Local rules, ethics approval and the applicable standards decide (ISO 14971, IEC 60601-1, IEC 62304, IEC 62366-1, IEC 60825-1 for the laser, ISO 10993, ISO 10218, ISO/TS 15066, biosafety rules for cells).",
  "What was not seen was not judged. A good verdict says that what a sensor saw from above lay inside the bands; it says nothing of bonding, strength, sterility, composition or cells.",
  "What was said live was provisional; this report rests on all data that were kept.",
];

export function cautionsSection(): ReportSection {
  return { id: "cautions", title: "Cautions", blocks: CAUTIONS.map((text) => ({ kind: "caution", text })) };
}
