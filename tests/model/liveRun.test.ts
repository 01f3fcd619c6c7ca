import { describe, expect, it } from "vitest";
import { nextState, RUN_STATES, type RunEvent, type RunState } from "../../lib/model/liveRun.ts";

/** Rows: events; columns: recorded, prepared, live, paused, onHold, finished, aborted; "-": refused. */
const TABLE: Readonly<Record<RunEvent, readonly (RunState | "-")[]>> = {
  data: ["-", "live", "live", "paused", "onHold", "-", "-"],
  pauseDone: ["-", "-", "paused", "paused", "onHold", "-", "-"],
  holdDone: ["-", "-", "onHold", "onHold", "onHold", "-", "-"],
  resumeDone: ["-", "-", "live", "live", "live", "-", "-"],
  finish: ["-", "finished", "finished", "finished", "finished", "-", "-"],
  abort: ["-", "aborted", "aborted", "aborted", "aborted", "-", "-"],
};

describe("a run's life", () => {
  it.each(Object.entries(TABLE) as [RunEvent, (RunState | "-")[]][])("%s leads from each state where the table says, or nowhere", (event, row) => {
    expect(RUN_STATES.map((state) => nextState(state, event) ?? "-")).toEqual(row);
  });
});
