/** Whether a run's record is whole, checked without holding anybody up. */
import type { RunRecord } from "../model/log.ts";
import { look } from "./look/sharedLook.ts";
import { dataFolder } from "./settings.ts";

/** `recordOf` (record.ts) in a thread of its own where the server runs: it takes seconds at 100 000 stations. */
export function recordAside(runId: string): Promise<RunRecord> {
  return look({ op: "record", dataFolder: dataFolder(), runId });
}
