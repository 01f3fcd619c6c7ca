/** Starts a process for each recompute. Its code lies beside this bundle (scripts/prepare.mjs makes both). */
import { fork } from "node:child_process";
import { fileURLToPath } from "node:url";
import { errorOf } from "../live/threadMessages.ts";
import type { Recomputer, RecomputeTelling } from "./recomputeMessages.ts";

export const recomputeInProcess: Recomputer = (call, { signal, heard }) => new Promise((done, fail) => {
  const child = fork(fileURLToPath(new URL("./recompute.mjs", import.meta.url)), [], { execArgv: [], stdio: ["ignore", "ignore", "inherit", "ipc"] });
  const stop = (): void => {
    child.kill("SIGKILL");
    fail(signal.reason as Error);
  };
  signal.addEventListener("abort", stop, { once: true });
  child.once("error", fail);
  child.once("exit", (code) => {
    signal.removeEventListener("abort", stop);
    fail(new Error(`the process of a recompute ended with ${code} and without a result`));
  });
  child.on("message", (telling: RecomputeTelling) => {
    if (telling.kind === "measured") heard(telling.messageCount, telling.untilS);
    else if (telling.kind === "done") done(telling.resultId);
    else fail(errorOf(telling.error));
  });
  child.send(call);
});
