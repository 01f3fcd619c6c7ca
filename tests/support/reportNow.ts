/** A report with little in it, of a run's log as it is now: for tests of what is done with reports. */
import type { Report } from "../../lib/model/report.ts";
import { recordOf } from "../../lib/server/record.ts";
import { signaturesOf, signedWords } from "../../lib/server/signatures.ts";
import type { Store } from "../../lib/store/openStore.ts";

export async function reportNow(store: Store, runId: string, resultId: string): Promise<Report> {
  const { head, count, whole, problem } = recordOf(runId, store);
  return {
    contract: "aslaid/1",
    head: {
      runId, resultId, name: "block 7", specimen: null, materialName: "paste", lot: null, planSha256: "b".repeat(64), runAt: "2026-02-03T09:12:00.000Z", madeAt: new Date().toISOString(), stamp: "REHEARSAL",
      recomputed: null, logHead: head, logCount: count, recordWords: whole ? "whole" : `not whole: ${problem ?? ""}`, signedWords: signedWords(signaturesOf(runId, store), resultId),
    },
    verdict: { acceptable: false, headline: "One gap.", detail: "2.6 mm at 6.0 mm.", advice: null },
    sections: [{ id: "basis", title: "What it rests on", blocks: [{ kind: "words", text: "9 stations." }] }],
  };
}
