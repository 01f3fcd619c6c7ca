/** What a cell is told when it is to go on: the place, and the plan's rows that are left from there. */
import { InputError } from "../base/errors.ts";
import { wouldBury } from "../control/layerGate.ts";
import type { CellAsk } from "../model/liveSheet.ts";
import type { CommandBody } from "../model/wire.ts";
import { look } from "./look/sharedLook.ts";
import { requireHub } from "./liveStream.ts";
import { badValue, requirePlace } from "./personText.ts";
import { sharedStore } from "./settings.ts";

/** Places that a person types are kept to so much, mm. */
const PLACE_MM = 1e-3;

/** InputError store.noRun, log.badValue; control.gateHolds where the place lies above a layer that the gate holds. */
export async function resumeBody(runId: string, { layer, strand, sMm, overlapMm }: Extract<CellAsk, { kind: "resume" }>): Promise<CommandBody> {
  const { db } = sharedStore(), run = requireHub().open(runId), lengthMm = requirePlace(sharedStore(), runId, { layer, strand, sMm });
  if (!(overlapMm >= 0 && overlapMm <= lengthMm)) badValue("overlapMm", `0 to ${lengthMm} mm`, `${overlapMm}`);
  const held = wouldBury(layer, run.watch.gates);
  if (held !== null) throw new InputError("control.gateHolds", `what is open on layer ${held.layer} to be decided first`, `a resume on layer ${layer}`, {});
  const kept = db.prepare<[string], { jobText: string; planText: string }>(`SELECT jobText, planText FROM "Run" WHERE id = ?`).get(runId);
  if (kept === undefined) badValue("layer", "a run that is kept", runId);
  const { nozzle } = run.facts, removed = run.seen.removed.find((each) => each.layer === layer && each.strand === strand && each.toMm > sMm + PLACE_MM);
  const stoppedAt = nozzle === null ? null : nozzle.laidToMm >= nozzle.lengthMm - PLACE_MM && nozzle.next !== null ? nozzle.next : { layer: nozzle.layer, strand: nozzle.strand, sMm: nozzle.laidToMm };
  const rows = await look({ op: "rows", ...kept, ask: { from: { layer, strand, sMm }, overlapMm, toMm: removed?.toMm ?? null, stoppedAt } });
  return { kind: "resume", layer, strand, sMm, overlapMm, rows: rows.map((row) => ({ ...row })) };
}
