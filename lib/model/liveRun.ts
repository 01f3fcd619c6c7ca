/** A run's life. */
export const RUN_STATES = ["recorded", "prepared", "live", "paused", "onHold", "finished", "aborted"] as const;
/** `recorded`: brought in as a folder; it has no life here. `onHold`: paused with the nozzle retracted. */
export type RunState = (typeof RUN_STATES)[number];

/** States in which data are taken. */
export const OPEN_STATES: readonly RunState[] = ["prepared", "live", "paused", "onHold"];

/** What can happen to a run. */
export type RunEvent = "data" | "pauseDone" | "holdDone" | "resumeDone" | "finish" | "abort";

const NEXT: Readonly<Record<RunEvent, Partial<Readonly<Record<RunState, RunState>>>>> = {
  data: { prepared: "live", live: "live", paused: "paused", onHold: "onHold" },
  pauseDone: { live: "paused", paused: "paused", onHold: "onHold" },
  holdDone: { live: "onHold", paused: "onHold", onHold: "onHold" },
  resumeDone: { live: "live", paused: "live", onHold: "live" },
  finish: { prepared: "finished", live: "finished", paused: "finished", onHold: "finished" },
  abort: { prepared: "aborted", live: "aborted", paused: "aborted", onHold: "aborted" },
};

/** The state after an event; null: it cannot happen in this state. */
export function nextState(state: RunState, event: RunEvent): RunState | null {
  return NEXT[event][state] ?? null;
}
