/** Two results side by side: what differs most in a sentence, then facts, amounts, maps, findings and strand means. Pure. */
import type { Beside, BesideFact } from "../model/beside.ts";
import { FINDING_MARKS } from "../model/marks.ts";
import type { ReportTable } from "../model/report.ts";
import { FINDING_KINDS, type Finding, type Summary } from "../model/result.ts";
import type { Sheet } from "../model/sheet.ts";
import type { StrandMean } from "../model/strandMean.ts";
import { besideFindings } from "./besideFindings.ts";
import { besideLayers, besideMaps } from "./besideMaps.ts";
import { besideMeans } from "./besideMeans.ts";
import { besideSentence } from "./besideSentence.ts";
import { difference } from "./valueWords.ts";
import { percent, wholeNumber } from "./words.ts";

export interface BesideSide {
  readonly sheet: Sheet;
  readonly summary: Summary;
  readonly findings: readonly Finding[];
  readonly means: readonly StrandMean[];
  /** null: the run's own result. */
  readonly recompute: { readonly computedBy: string; readonly reason: string } | null;
}

/** Facts of a job that two runs are compared by. */
const JOB_FACTS = ["nozzle", "accepted with", "called good", "judged within"] as const;

function factsOf({ sheet, recompute }: BesideSide): { readonly name: string; readonly value: string }[] {
  const { head, job, bands } = sheet, [first] = bands;
  return [
    { name: "run", value: head.specimen === null ? head.name : `${head.name} · ${head.specimen}` },
    { name: "brought in", value: `${head.createdAt.slice(0, 10)} ${head.createdAt.slice(11, 16)} UTC` },
    { name: "result", value: recompute === null ? "the run’s own" : `a recompute by ${recompute.computedBy}: “${recompute.reason}”` },
    { name: "kind", value: [head.demo ? "DEMO" : null, head.rehearsal ? "REHEARSAL" : null].filter((word) => word !== null).join(" · ") || "run" },
    { name: "plan", value: `${head.planSha256.slice(0, 8)}…${head.planSha256.slice(-4)}` },
    { name: "material", value: head.materialName },
    { name: "lot", value: head.lot ?? "–" },
    ...JOB_FACTS.map((name) => ({ name, value: job.find((fact) => fact.name === name)?.value ?? "–" })),
    { name: "bead", value: first === undefined ? "–" : first.bead },
    ...(first?.rows ?? []).map(({ name, watch, act }) => ({ name: `limits: ${name}`, value: watch === "–" ? `act ${act}` : `watch ${watch}, act ${act}` })),
  ];
}

function facts(a: BesideSide, b: BesideSide): BesideFact[] {
  const [ofA, ofB] = [factsOf(a), factsOf(b)], isSamePlan = a.sheet.head.planSha256 === b.sheet.head.planSha256;
  const valueOf = (list: typeof ofA, name: string): string => list.find((fact) => fact.name === name)?.value ?? "–";
  return [...new Set([...ofA, ...ofB].map(({ name }) => name))].map((name) => {
    const [left, right] = [valueOf(ofA, name), valueOf(ofB, name)];
    return { name, a: left, b: right, isSame: name === "plan" ? isSamePlan : left === right };
  });
}

interface Amount { readonly name: string; readonly a: number | null; readonly b: number | null; readonly words: (value: number) => string; readonly change: (value: number) => string }

function amountsOf(a: BesideSide, b: BesideSide): Amount[] {
  const count = (name: string, of: (side: BesideSide) => number): Amount => ({ name, a: of(a), b: of(b), words: wholeNumber, change: (value) => difference(value, 0) });
  const share = (name: string, of: (side: BesideSide) => number | null): Amount => ({ name, a: of(a), b: of(b), words: percent, change: (value) => `${difference(100 * value, 1)} points` });
  const volume = (name: string, of: (side: BesideSide) => number): Amount => ({ name, a: of(a), b: of(b), words: (value) => value.toFixed(1), change: (value) => difference(value, 1) });
  const ratioOf = ({ summary: { measuredVolumeMm3, plannedVolumeMm3 } }: BesideSide): number | null => (plannedVolumeMm3 > 0 ? measuredVolumeMm3 / plannedVolumeMm3 : null);
  const kinds = FINDING_KINDS.filter((kind) => [...a.findings, ...b.findings].some((finding) => finding.kind === kind));
  return [
    count("stations planned", ({ summary }) => summary.stations), count("stations laid", ({ summary }) => summary.laid), count("stations measured", ({ summary }) => summary.measured),
    share("laid length in band", ({ summary }) => summary.inBandLengthFraction),
    volume("planned volume where measured, mm³", ({ summary }) => summary.plannedVolumeMm3), volume("measured volume seen from above, mm³", ({ summary }) => summary.measuredVolumeMm3),
    { name: "measured over planned volume", a: ratioOf(a), b: ratioOf(b), words: (value) => value.toFixed(3), change: (value) => difference(value, 3) },
    count("act findings", ({ findings }) => findings.filter(({ severity }) => severity === "act").length), count("watch findings", ({ findings }) => findings.filter(({ severity }) => severity === "watch").length),
    ...kinds.map((kind) => count(`findings: ${FINDING_MARKS[kind].label.toLowerCase()}`, ({ findings }) => findings.filter((finding) => finding.kind === kind).length)),
  ];
}

function amounts(a: BesideSide, b: BesideSide): ReportTable {
  return {
    caption: "Counts and amounts", columns: [{ title: "what", isNumber: false }, ...["A", "B", "B − A"].map((title) => ({ title, isNumber: true }))],
    rows: amountsOf(a, b).map(({ name, a: ofA, b: ofB, words, change }) => [name, ofA === null ? "–" : words(ofA), ofB === null ? "–" : words(ofB), ofA === null || ofB === null ? "–" : change(ofB - ofA)]),
  };
}

/** Where the plans differ, places are not compared: findings and strand means are then null. `layer`: of besideMaps. */
export function buildBeside(a: BesideSide, b: BesideSide, layer: number | null = null): Beside {
  const isSamePlan = a.sheet.head.planSha256 === b.sheet.head.planSha256;
  return {
    ...besideSentence(a, b), facts: facts(a, b), amounts: amounts(a, b), layers: besideLayers(a.sheet, b.sheet), maps: besideMaps(a.sheet, b.sheet, layer),
    findings: isSamePlan ? besideFindings(a.sheet.findings, b.sheet.findings) : null, means: isSamePlan ? besideMeans(a.means, b.means) : null,
  };
}
