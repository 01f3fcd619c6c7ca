/** What the report rests on: specimen, material, devices, bands, decision rule. */
import type { ReportBlock, ReportSection } from "../../model/report.ts";
import { dateTime } from "../words.ts";
import type { BodyInput } from "./bodyInput.ts";

export function basisSection({ sheet, job, preflightSentence }: BodyInput): ReportSection {
  const { head, bands } = sheet;
  const facts = [
    { name: "run", value: `${head.name} (${head.runId})` }, { name: "specimen", value: head.specimen ?? "not named" },
    { name: "material", value: `${head.materialName}${head.lot === null ? ", lot not named" : `, lot ${head.lot}`}` }, { name: "plan, SHA-256", value: head.planSha256 },
    ...sheet.job.filter(({ name }) => name !== "job" && name !== "material"),
    ...(job?.material.mixedAt === undefined || job.material.mixedAt === null ? [] : [{ name: "mixed", value: mixedWords(job.material.mixedAt) }]),
  ];
  const tables = bands.map((band): ReportBlock => ({
    kind: "table",
    table: { caption: `Bands in force, ${band.bead}`, columns: [{ title: "quantity", isNumber: false }, { title: "watch outside", isNumber: false }, { title: "act outside", isNumber: false }], rows: band.rows.map(({ name, watch, act }) => [name, watch, act]) },
  }));
  return {
    id: "basis", title: "What was printed, with what, and what was asked of it",
    blocks: [
      { kind: "facts", facts },
      ...(job === null ? [{ kind: "caution", text: "Job and plan are not kept as they came and cannot be read any more: see the record." } as const] : []),
      ...(preflightSentence === null ? [] : [{ kind: "words", text: `Before the print: ${preflightSentence}` } as const]),
      ...tables,
      { kind: "words", text: "A value beyond an act limit gets that verdict, and is proven where it lies beyond by the guard of the decision rule; called good is only what lies inside every watch limit by that guard (ISO 14253-1); all between is watch." },
    ],
  };
}

/** "2026-02-03T09:12:00+01:00" → "2026-02-03 08:12:00 UTC": the instant, whatever offset it was written with (RFC 3339). A leap second is shown as written. */
export function mixedWords(text: string): string {
  const ms = Date.parse(text);
  return Number.isNaN(ms) ? text : `${dateTime(new Date(ms).toISOString())} UTC`;
}
