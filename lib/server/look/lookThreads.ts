/** Starts a thread for each look at a plan. Its code lies beside this bundle (scripts/prepare.mjs makes both). */
import { Worker } from "node:worker_threads";
import { InputError } from "../../base/errors.ts";
import { errorOf, type Answer } from "../live/threadMessages.ts";
import type { LookCall } from "./planLook.ts";

/** Resolves with what `lookAt` gives. */
export function lookInThread(call: LookCall, signal?: AbortSignal): Promise<unknown> {
  return new Promise((done, fail) => {
    const worker = new Worker(new URL("./look.mjs", import.meta.url), { workerData: call });
    worker.once("message", (answer: Answer) => {
      if ("error" in answer) fail(errorOf(answer.error));
      else done(answer.value);
    });
    worker.once("error", fail);
    worker.once("exit", () => fail(new InputError("source.stopped", "a look to its end", "one that was given up", {})));
    worker.unref(); // the server's end waits for none
    signal?.addEventListener("abort", () => { void worker.terminate(); }, { once: true });
  });
}
