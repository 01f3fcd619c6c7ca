/** Pores and sag; and what was not measured, and why. */
import { mean } from "../../kernel/statistics.ts";
import type { ReportBlock, ReportSection } from "../../model/report.ts";
import type { StationResult } from "../../model/result.ts";
import { capital, counted, percent, wholeNumber } from "../words.ts";
import type { BodyInput } from "./bodyInput.ts";
import { stretchesWhere, stretchWords } from "./stretches.ts";

/** null where the lattice is solid: nothing spans a hollow, and no pore is closed. */
export function poresSection({ stations, findings }: BodyInput): ReportSection | null {
  const spans = stretchesWhere(stations, (at) => at.measured?.support === "spanned"), pores = findings.filter((finding) => finding.kind === "closedPore");
  if (spans.length === 0 && pores.length === 0) return null;
  const sags = spans.flatMap(({ stations: those }) => those).filter((at) => at.sagMm !== null), worst = sags.reduce<StationResult | null>((most, at) => (most === null || (at.sagMm as number) > (most.sagMm as number) ? at : most), null);
  const blocks: ReportBlock[] = [{
    kind: "words",
    text: `${capital(counted(spans.length, "stretch", "stretches"))} ${spans.length === 1 ? "spans" : "span"} a hollow beneath. ${worst === null ? "" : `The middle of a spanned bead hangs ${mean(sags.map((at) => at.sagMm as number)).toFixed(3)} mm below its planned top on average, at most ${(worst.sagMm as number).toFixed(3)} mm (layer ${worst.layer}, strand ${worst.strand}, ${worst.sMm.toFixed(1)} mm). `}${pores.length === 0 ? "No pore of the lattice is closed as far as was seen." : `${capital(counted(pores.length, "pore"))} of the lattice ${pores.length === 1 ? "is" : "are"} closed.`}`,
  }];
  const rows = pores.map((pore) => [String(pore.layer), "strand" in pore ? String(pore.strand) : "–", pore.position.map((mm) => mm.toFixed(1)).join(", "), "areaMm2" in pore ? pore.areaMm2.toFixed(2) : "–"]);
  return {
    id: "pores", title: "Pores and sag",
    blocks: rows.length === 0 ? blocks : [...blocks, { kind: "table", table: { caption: "Closed pores", columns: ["layer", "between this strand and the next", "place in plan, mm", "filled, mm²"].map((title, i) => ({ title, isNumber: i !== 2 })), rows } }],
  };
}

/** Rows of a table that would not end. */
const MOST_ROWS = 200;

export function unmeasuredSection({ stations, job, frames }: BodyInput): ReportSection {
  const laid = stations.filter((at) => at.laid), blind = stretchesWhere(stations, (at) => at.laid && at.measured === null), pending = stretchesWhere(stations, (at) => at.verdict === "pending");
  const count = blind.reduce((sum, each) => sum + each.stations.length, 0);
  const of = (is: (at: StationResult) => boolean): string => { const those = laid.filter((at) => at.measured !== null && is(at)).length; return `${wholeNumber(those)} of ${wholeNumber(laid.length - count)} measured stations`; };
  const facts = [
    { name: "no width, no offset", value: `${of((at) => at.measured?.widthMm === null)}: a flank was hidden by a neighbour or gave no light` },
    { name: "no height", value: `${of((at) => at.measured?.heightMm === null)}: the crown was not seen` },
    { name: "seen in part", value: `${of((at) => (at.measured?.coverage ?? 1) < 0.8)}: coverage under 0.8, so never called good` },
    { name: "support never seen", value: `${of((at) => at.measured?.support === "planned")}: thickness is counted from the planned base, which costs uncertainty` },
    { name: "seen too late", value: job?.tolerance.judgeWithinS === null || job === null ? "no limit is set" : `readings older than ${job.tolerance.judgeWithinS} s after laying do not count as the bead that was laid` },
    { name: "camera", value: frames.length === 0 ? "no frame came" : "see “Camera frames”: what a camera alone saw has no height, no area and no volume" },
    { name: "motion", value: "not part of this report: it was not measured" },
  ];
  const rows = [...blind.map((each) => ({ each, why: each.stations.every(({ camera }) => camera !== null) ? "laid, and seen by the camera alone" : "laid, and no profile saw it whole, steeply enough and with enough light" })), ...pending.map((each) => ({ each, why: "not laid" }))]
    .map(({ each, why }) => [String(each.layer), String(each.strand), stretchWords(each), String(each.stations.length), why]);
  return {
    id: "unmeasured", title: "What was not measured, and why",
    blocks: [
      { kind: "words", text: count === 0 ? `Every laid station was measured.${pending.length === 0 ? "" : ` ${capital(counted(pending.length, "stretch", "stretches"))} ${pending.length === 1 ? "was" : "were"} not laid.`}` : `${wholeNumber(count)} of ${wholeNumber(laid.length)} laid stations (${percent(count / laid.length)}) were not measured: nothing is said of them, and nothing is called good there.` },
      ...(rows.length === 0 ? [] : [{ kind: "table", table: { caption: `Stretches without a reading${rows.length > MOST_ROWS ? `, the first ${MOST_ROWS} of ${rows.length}` : ""}`, columns: ["layer", "strand", "stretch, mm", "stations", "why"].map((title, i) => ({ title, isNumber: i < 2 || i === 3 })), rows: rows.slice(0, MOST_ROWS) } } as const]),
      { kind: "facts", facts },
    ],
  };
}
