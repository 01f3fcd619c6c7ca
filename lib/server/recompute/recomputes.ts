/** Recomputes that pages asked for: one after another, at most one of a run, each in a process of its own where the server runs. */
import { InputError } from "../../base/errors.ts";
import type { RecomputeState } from "../../model/recompute.ts";
import { inspectRun } from "../../run/inspectRun.ts";
import { problemOf } from "../problem.ts";
import { newId, nowIso, sharedStore } from "../settings.ts";
import type { RecomputeCall, Recomputer } from "./recomputeMessages.ts";
import { readyRecompute, recomputeRun, refuseBusy } from "./recomputeRun.ts";

export interface Recomputes {
  /** Refuses at once what cannot be (`readyRecompute`, upload.busy); the rest is told by `read`. */
  readonly begin: (call: RecomputeCall) => RecomputeState;
  /** The latest of a run since the server began; null: none. */
  readonly read: (runId: string) => RecomputeState | null;
  /** Ends all that goes on; nothing of it is kept. */
  readonly close: () => Promise<void>;
}

/** So long a page still hears how it ended, ms. */
const KEPT_MS = 3_600_000;
const FIRST: RecomputeState = { step: "waiting", messageCount: 0, untilS: null, resultId: null, problem: null };
const isGoingOn = ({ step }: RecomputeState): boolean => step === "waiting" || step === "measuring";

export function makeRecomputes(recompute: Recomputer, complain: (error: unknown) => void): Recomputes {
  const states = new Map<string, RecomputeState>(), end = new AbortController();
  /** The last that was asked for; the next one begins after it. */
  let last: Promise<void> = Promise.resolve();

  async function work(call: RecomputeCall): Promise<void> {
    const { runId } = call, change = (now: Partial<RecomputeState>): void => { states.set(runId, { ...states.get(runId) ?? FIRST, ...now }); };
    try {
      end.signal.throwIfAborted();
      change({ step: "measuring" });
      change({ step: "done", resultId: await recompute(call, { signal: end.signal, heard: (messageCount, untilS) => change({ messageCount, untilS }) }) });
    } catch (error) {
      const problem = problemOf(error);
      if (problem === null) complain(error);
      change({ step: "failed", problem });
    }
    setTimeout(() => states.delete(runId), KEPT_MS).unref();
  }

  return {
    begin: (call) => {
      readyRecompute(sharedStore(), { ...call, bandsFile: "job.json" });
      if (isGoingOn(states.get(call.runId) ?? { ...FIRST, step: "done" })) refuseBusy();
      states.set(call.runId, FIRST);
      last = last.then(() => work(call));
      return FIRST;
    },
    read: (runId) => states.get(runId) ?? null,
    close: async () => {
      end.abort(new InputError("source.stopped", "a recompute to its end", "the server’s end: nothing was kept", {}));
      await last;
    },
  };
}

const KEY = Symbol.for("aslaid.recomputes");
const holder = globalThis as { [KEY]?: Recomputes };

/** In this process, on the shared store. */
const recomputeHere: Recomputer = (call, { signal, heard }) => recomputeRun(sharedStore(), { ...call, bandsFile: "job.json", newId, nowIso, signal, inspect: (opened) => inspectRun(opened, heard) });

/** Those of this process; pages and start-up code are separate bundles, so they hang on globalThis. */
export function sharedRecomputes(): Recomputes {
  holder[KEY] ??= makeRecomputes(recomputeHere, (error) => console.error("Measuring a run again failed:", error));
  return holder[KEY];
}

/** From now on this measures. */
export function shareRecomputer(recompute: Recomputer): void {
  holder[KEY] = makeRecomputes(recompute, (error) => console.error("Measuring a run again failed:", error));
}

export async function closeSharedRecomputes(): Promise<void> {
  await holder[KEY]?.close();
  delete holder[KEY];
}
