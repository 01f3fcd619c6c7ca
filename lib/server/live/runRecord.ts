/** Writing into the log of one live run: each entry together with what else belongs to it, and sealed. */
import type { LogDraft } from "../../log/entries.ts";
import { appendEntries, sealLog } from "../../store/logTable.ts";
import type { Store } from "../../store/openStore.ts";

export interface RunRecord {
  /** Writes entries and seals them, in one transaction with whatever else `work` writes; what that gives. Throws what the disk or `work` throws: then nothing is written. */
  write<T>(work: () => { readonly drafts: readonly LogDraft[]; readonly value: T }): T;
}

export function runRecord({ db, signingKey }: Store, runId: string, nowIso: () => string): RunRecord {
  return {
    write: (work) => db.transaction(() => {
      const { drafts, value } = work();
      if (drafts.length === 0) return value;
      appendEntries(db, runId, drafts);
      sealLog(db, runId, { key: signingKey, at: nowIso() });
      return value;
    }).immediate(),
  };
}
