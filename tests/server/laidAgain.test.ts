/** Taken off and laid again, asked for on this side of the wire alone: the simulated cell prints against a server in this process. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { InspectResult } from "../../lib/model/result.ts";
import type { CauseKind } from "../../lib/rehearsal/liveCauses.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { startLiveServer, type LiveServer } from "../support/liveServer.ts";
import { ServedCell } from "../support/servedCell.ts";

let live: LiveServer;
beforeAll(async () => { live = await startLiveServer(); });
afterAll(() => live.close());

/** 16 mm seen in 200 samples. */
const PRINT: Partial<RehearsalSettings> = { strands: 2, lengthMm: 14, points: 200, dxMm: 0.08 };

describe("a stretch taken off on the page alone", () => {
  it.each<[CauseKind, string, number, "now" | "strandEnd", Partial<RehearsalSettings>]>([
    ["airBubble", "gap", 5, "strandEnd", { ...PRINT, seed: 7, surface: "mandibleAngle" }],
    ["clog", "underExtrusion", 4, "now", { ...PRINT, seed: 23, surface: "cylinder", radiusMm: 30 }],
    ["drag", "gap", 10, "now", { ...PRINT, seed: 31, surface: "saddle", strands: 3 }],
  ])("%s, found as %s (caused at %f mm; pause at %s; %o) is laid again as attempt 2 in band, joints included, then the rest of the plan", async (cause, kind, atMm, at, settings) => {
    const cell = await new ServedCell(live).begin(settings), { rehearsal } = cell, bring = (undo: boolean): string => rehearsal.run.cause({ kind: cause, undo, place: null });
    await rehearsal.laid(1, atMm);
    bring(false);
    if (cause === "clog") {
      await rehearsal.laid(1, atMm + 4);
      bring(true);
    }
    await rehearsal.laid(2, 4);
    await cell.pause(at);
    const found = await cell.found(1), { stretch: { fromMm, toMm }, n } = await cell.layAgain(found);
    await rehearsal.toEnd();
    expect([found.kind, rehearsal.ending, live.hub.open(cell.runId).row.state]).toEqual([kind, { kind: "finished" }, "finished"]);

    const result = JSON.parse(await live.hub.result(cell.runId)) as InspectResult, again = result.stations.filter((one) => one.strand === 1 && one.sMm >= fromMm && one.sMm <= toMm);
    expect(rehearsal.said).toContain(`command ${n}: done, taken off: ${fromMm.toFixed(2)} to ${toMm.toFixed(2)} mm of strand 1, layer 1; it is laid again from there`);
    expect(cell.calls).not.toContain("rework"); // the row of it was written here
    expect(again.length).toBeGreaterThan(4);
    expect(again.map((one) => [one.attempt, one.verdict, one.measured?.support])).toEqual(again.map(() => [2, "inBand", "measured"]));
    expect(result.earlierAttempts.some((one) => one.strand === 1 && one.attempt === 1 && one.verdict === (kind === "gap" ? "gap" : "under"))).toBe(true);
    expect(result.findings).toEqual([]);
    expect(result.stations.filter((one) => !one.laid)).toEqual([]);
  });
});
