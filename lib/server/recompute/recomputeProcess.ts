/**
 * A process that measures one run again and ends. A process and not a thread: it opens a store of its own, and what it leaves half-way where it is
 * killed is swept away as that of any other process (store/rawFiles.ts).
 */
import { constants, setPriority } from "node:os";
import { inspectRun } from "../../run/inspectRun.ts";
import { plainError } from "../live/threadMessages.ts";
import { newId, nowIso, openOwnStore } from "../settings.ts";
import type { RecomputeCall, RecomputeTelling } from "./recomputeMessages.ts";
import { recomputeRun } from "./recomputeRun.ts";

/** Messages between two tellings. */
const TELL_EVERY = 2048;

const tell = (telling: RecomputeTelling): Promise<void> => new Promise((done) => { process.send?.(telling, undefined, undefined, () => done()); });

async function carryOut(call: RecomputeCall): Promise<RecomputeTelling> {
  const store = openOwnStore();
  let told = 0;
  const heard = (messageCount: number, untilS: number): void => {
    if (messageCount < told + TELL_EVERY) return;
    told = messageCount;
    void tell({ kind: "measured", messageCount, untilS });
  };
  try {
    return { kind: "done", resultId: await recomputeRun(store, { ...call, bandsFile: "job.json", newId, nowIso, inspect: (opened) => inspectRun(opened, heard) }) };
  } finally {
    await store.close();
  }
}

process.once("disconnect", () => process.exit(1)); // nobody waits for it any more
process.once("message", (call: RecomputeCall) => {
  setPriority(constants.priority.PRIORITY_BELOW_NORMAL); // a print that goes on comes first
  void carryOut(call).catch((error: unknown): RecomputeTelling => ({ kind: "failed", error: plainError(error) })).then(tell).then(() => process.exit(0));
});
