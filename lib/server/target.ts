/** A run's stations in space, packed for the picture of the target: of its plan alone, so the same whether it lives or is over. */
import { InputError } from "../base/errors.ts";
import { TARGET_TYPE } from "../model/targetShape.ts";
import { look } from "./look/sharedLook.ts";
import { sharedStore } from "./settings.ts";

/** Of the plans that were last looked at, by run: a page that is opened again waits for none. */
const known = new Map<string, Promise<Uint8Array<ArrayBuffer>>>();
const MOST_KNOWN = 4;

/** InputError store.noRun; job.*, plan.* where what is kept cannot be read any more. */
export async function readTarget(runId: string): Promise<Response> {
  const bytes = await (known.get(runId) ?? makeTarget(runId));
  return new Response(bytes, { headers: { "Content-Type": TARGET_TYPE, "Content-Length": String(bytes.length), "Cache-Control": "no-store" } });
}

function makeTarget(runId: string): Promise<Uint8Array<ArrayBuffer>> {
  const kept = sharedStore().db.prepare<[string], { jobText: string; planText: string }>(`SELECT jobText, planText FROM "Run" WHERE id = ?`).get(runId);
  if (kept === undefined) throw new InputError("store.noRun", "a run that is kept", JSON.stringify(runId.slice(0, 60)), {});
  const made = look({ op: "target", ...kept });
  known.set(runId, made);
  made.catch(() => known.delete(runId));
  for (const oldest of [...known.keys()].slice(0, -MOST_KNOWN)) known.delete(oldest);
  return made;
}
