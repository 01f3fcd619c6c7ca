/** What takes long on a large plan or a large run, seconds at 100 000 stations: done in a thread of its own where the server runs, so that no answer to a cell waits for it. */
import { resumeRows, type PlanRow, type ResumeAsk } from "../../control/resume.ts";
import { limitsAt } from "../../judge/bands.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import type { Plan } from "../../model/plan.ts";
import type { CalibrationSheet } from "../../model/calibration.ts";
import type { Job } from "../../model/job.ts";
import type { RunRecord } from "../../model/log.ts";
import type { PlanChecks } from "../../model/prepare.ts";
import type { Report } from "../../model/report.ts";
import type { SheetLayer } from "../../model/sheet.ts";
import type { StationPlan } from "../../model/stations.ts";
import { packTarget } from "../../model/targetShape.ts";
import { preflightPlan } from "../../plan/preflight.ts";
import { readPlan } from "../../plan/readPlan.ts";
import { buildStations } from "../../plan/stations.ts";
import { bandWords } from "../../report/bandWords.ts";
import { jobWords } from "../../report/jobWords.ts";
import { liveLayers } from "../../report/liveLayers.ts";
import type { Pictures } from "../../report/pdf/paper.ts";
import { reportPdf } from "../../report/pdf/reportPdf.ts";
import { planPicture } from "../../report/planPicture.ts";
import { preflightSheet } from "../../report/preflightWords.ts";
import { targetShape } from "../../report/targetShape.ts";
import { openForLook } from "../../store/openStore.ts";
import { sheetOfFiles } from "../calibrateFiles.ts";
import { readPaperFonts } from "../paperFonts.ts";
import { recordOf } from "../record.ts";

/** A job and its plan. `check`: everything that can be said of them; `layers`: its strands unrolled with nothing on them; `target`: where its stations lie in space, packed; `stations`: its stations as they are measured; `rows`: what is left of the plan from a place on. */
type PlanCall = { readonly jobText: string; readonly planText: string } & ({ readonly op: "check" | "layers" | "target" | "stations" } | { readonly op: "rows"; readonly ask: ResumeAsk });
/** A kept run: whether its record is whole. */
interface RecordCall { readonly op: "record"; readonly dataFolder: string; readonly runId: string }
/** A report: its sheets of paper, with the pictures that it shows. */
interface PaperCall { readonly op: "paper"; readonly report: Report; readonly pictures: Pictures; readonly rootFolder: string }
/** Pictures of a board: the camera's calibration as a sheet. */
interface CalibrateCall { readonly op: "calibrate"; readonly files: readonly { readonly name: string; readonly bytes: Uint8Array }[]; readonly over: Readonly<Record<string, unknown>> }
export type LookCall = PlanCall | RecordCall | PaperCall | CalibrateCall;
export interface LookAnswers { readonly paper: Uint8Array<ArrayBuffer>; readonly record: RunRecord; readonly check: PlanChecks; readonly layers: readonly SheetLayer[]; readonly target: Uint8Array<ArrayBuffer>; readonly stations: StationPlan; readonly rows: readonly PlanRow[]; readonly calibrate: CalibrationSheet }

/** Does it here and now. InputError job.*, plan.*, calibration.*. */
export function lookAt(call: LookCall): LookAnswers[LookCall["op"]] | Promise<CalibrationSheet> {
  if (call.op === "record") return checkRecord(call);
  if (call.op === "calibrate") return sheetOfFiles(call.files, call.over);
  if (call.op === "paper") return reportPdf(call.report, readPaperFonts(call.rootFolder), call.pictures);
  const { job, warnings } = resolveJob(JSON.parse(call.jobText), "job.json"), read = readPlan(call.planText, job, job.plan.file);
  switch (call.op) {
    case "check": return checksOf(job, read.plan, [...warnings, ...read.warnings]);
    case "layers": return liveLayers(buildStations(read.plan, job.stationSpacingMm), read.plan);
    case "target": return packTarget(targetShape(buildStations(read.plan, job.stationSpacingMm), job));
    case "stations": return buildStations(read.plan, job.stationSpacingMm);
    case "rows": return resumeRows(read.plan, call.ask);
  }
}

function checkRecord({ dataFolder, runId }: RecordCall): RunRecord {
  const store = openForLook(dataFolder);
  try {
    return recordOf(runId, store);
  } finally {
    store.db.close();
  }
}

function checksOf(job: Job, plan: Plan, warnings: PlanChecks["warnings"]): PlanChecks {
  const preflight = preflightPlan(plan, job);
  return {
    preflight: preflightSheet(preflight), actCount: preflight.items.filter(({ severity }) => severity === "act").length, layingTimeS: preflight.totals.layingTimeS,
    stationCount: buildStations(plan, job.stationSpacingMm).stationCount, bands: bandsOf(job, plan), job: jobWords(job), warnings, picture: planPicture(plan),
  };
}

/** Limits in force for each kind of planned bead, in the order in which they are laid. */
function bandsOf({ tolerance }: Job, { strands }: Plan): PlanChecks["bands"] {
  const beads = new Map<string, { widthMm: number; heightMm: number; areaMm2: number }>();
  for (const { pointCount, widthMm, heightMm } of strands) {
    for (let i = 0; i < pointCount; i++) {
      const [w, h] = [widthMm[i] as number, heightMm[i] as number], key = `${w.toFixed(3)}/${h.toFixed(3)}`;
      if (!beads.has(key)) beads.set(key, { widthMm: w, heightMm: h, areaMm2: Number.NaN });
    }
  }
  const all = [...beads.values()];
  return bandWords(all.map(({ widthMm, heightMm }) => limitsAt(tolerance, widthMm, heightMm)), all);
}
