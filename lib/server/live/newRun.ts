/** Makes a run that will come over the wire. */
import { InputError } from "../../base/errors.ts";
import { hasControl } from "../../base/text.ts";
import type { LogDraft } from "../../log/entries.ts";
import { sha256Hex } from "../../log/hash.ts";
import { portableText } from "../../log/portable.ts";
import { RECORD_FILES, RECORD_FOLDERS } from "../../model/log.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import type { NewRunBody } from "../../model/wire.ts";
import { readPlan } from "../../plan/readPlan.ts";
import { requireFewStations } from "../../plan/stations.ts";
import { appendEntries, sealLog } from "../../store/logTable.ts";
import { findRunByKey } from "../../store/liveRuns.ts";
import type { Store } from "../../store/openStore.ts";
import { insertRun } from "../../store/writeRun.ts";
import { keptName, strandRows } from "../writeWithRecord.ts";
import { livePaths, writeHead } from "./liveFolder.ts";

export interface NewLiveRun {
  readonly body: NewRunBody;
  /** null: the caller sent none. */
  readonly idempotencyKey: string | null;
  readonly actor: string;
  readonly dataFolder: string;
  readonly newId: () => string;
  readonly at: string;
  /** What its log says beside who made it: what the server is, and who is signed in. */
  readonly began: readonly LogDraft[];
}

/** Files and folders of a run folder that neither the plan nor a folder around it can be called like. */
const OTHER_FILES = /^(job\.json|truth\.json|target\.ply|(progress|rework|paste|frames|poses|signals|landmarks)\.csv|profiles(\..+)?\.(arrow|ndjson)|frames)$/;

/** InputError job.badValue where a plan cannot be called so, or is not of this format. */
export function requirePlanName(file: string, planFormat: NewRunBody["planFormat"]): void {
  const [top = ""] = file.split("/");
  const isOfRecord = [...Object.values<string>(RECORD_FILES), ...Object.values<string>(RECORD_FOLDERS)].includes(top);
  const taken = isOfRecord || OTHER_FILES.test(top) || keptName(file) !== file || hasControl(file) || file.includes("\\");
  if (taken) throw new InputError("job.badValue", "a plain name for the plan, like plan.csv", JSON.stringify(file), { file: "job.json", key: "plan.file" });
  if (/\.gcode$/i.test(file) !== (planFormat === "gcode")) throw new InputError("job.badValue", `a plan file of the format ${planFormat}`, JSON.stringify(file), { file: "job.json", key: "plan.file" });
}

/** Returns the run's id; the same call twice is the same run. InputError job.*, plan.*, wire.conflict (the key was used for another run). */
export function makeLiveRun(store: Store, { body, idempotencyKey, actor, dataFolder, newId, at, began }: NewLiveRun): string {
  const { db, signingKey } = store, { planText } = body;
  const jobText = `${JSON.stringify(body.job, null, 2)}\n`;
  const { job } = resolveJob(JSON.parse(jobText), "job.json");
  requirePlanName(job.plan.file, body.planFormat);
  const known = idempotencyKey === null ? null : findRunByKey(db, idempotencyKey);
  if (known !== null) {
    if (known.jobText === jobText && known.planText === planText) return known.id;
    throw new InputError("wire.conflict", "one run for one Idempotency-Key", "another job or plan with a key that was used before", { key: "Idempotency-Key" });
  }
  const { plan } = readPlan(planText, job, job.plan.file);
  requireFewStations(plan, job.stationSpacingMm);
  const id = newId(), planFile = job.plan.file, jobSha256 = sha256Hex(jobText), planSha256 = sha256Hex(planText);
  writeHead(livePaths(dataFolder, id), { jobText, planFile, planText });
  db.transaction(() => {
    insertRun(db, {
      run: {
        id, createdAt: at, contentSha256: `live:${id}`, name: job.name, specimen: job.specimen, materialName: job.material.name, lot: job.material.lot, beadShape: job.material.beadShape,
        state: "prepared", rehearsal: job.rehearsal, demo: false, jobText, jobSha256, planFile, planText, planSha256, layerCount: plan.layerCount,
        strandCount: plan.strands.length, plannedLengthMm: plan.strands.reduce((total, strand) => total + strand.lengthMm, 0), idempotencyKey, endAsked: null,
      },
      strands: strandRows(plan),
    });
    appendEntries(db, id, [{ actor, at, kind: "run.created", payload: { name: portableText(job.name), jobSha256, planFile: portableText(planFile), planSha256 } }, ...began]);
    sealLog(db, id, { key: signingKey, at });
  }).immediate();
  return id;
}
