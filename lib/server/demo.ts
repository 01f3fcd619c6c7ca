/** On a fresh database the server opens on a recorded demonstration run, so that there is something to see. */
import { existsSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { PROGRAM_ACTOR } from "../model/log.ts";
import type { InspectResult } from "../model/result.ts";
import type { OpenedRun } from "../source/openRunFolder.ts";
import type { Store } from "../store/openStore.ts";
import { importRun } from "./importRun.ts";
import { newId, nowIso, rootFolder } from "./settings.ts";

/** Run folders under fixtures/ that are made to be shown. */
export const DEMO_FOLDERS = ["mandible-angle"] as const;

/** Brings the demonstration in where no run is stored yet; a folder that cannot be read is named and left out, and the server starts all the same. */
export async function importDemoRuns(store: Store, inspect: (opened: OpenedRun) => Promise<InspectResult>, say: (line: string) => void): Promise<void> {
  if (await store.prisma.run.count() > 0) return;
  for (const name of DEMO_FOLDERS) {
    const folder = join(rootFolder(), "fixtures", name);
    if (!existsSync(folder)) continue;
    say(`Bringing in the demonstration run ${name}`);
    try {
      await importRun(store, { folder, demo: true, actor: PROGRAM_ACTOR, newId, nowIso, inspect });
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      say(`  left out: ${error.message}`);
    }
  }
}
