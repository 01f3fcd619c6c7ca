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
  it.each<[CauseKind, string, "now" | "strandEnd", Partial<RehearsalSettings>]>([
    ["airBubble", "gap", "strandEnd", { ...PRINT, seed: 7, surface: "mandibleAngle" }],
    ["clog", "underExtrusion", "now", { ...PRINT, seed: 23, surface: "cylinder", radiusMm: 30 }],
    ["drag", "gap", "now", { ...PRINT, seed: 31, surface: "saddle", strands: 3 }],
  ])("%s, found as %s, pause at %s, %o: laid again as attempt 2 in band, its joints within 0.85 to 1.15 of their area, then the rest of the plan", async (cause, kind, at, settings) => {
    const cell = await new ServedCell(live, settings).begin();
    await cell.untilLaid(1, cause === "drag" ? 11 : 5);
    cell.cause(cause);
    if (cause === "clog") {
      await cell.untilLaid(1, 9);
      cell.cause(cause, true);
    }
    await cell.untilLaid(2, 4);
    await cell.pause(at);
    const found = await cell.found(1);
    const { stretch: { fromMm, toMm }, n } = await cell.layAgain(found);
    expect(await cell.ended()).toEqual({ kind: "finished" });

    const result = JSON.parse(await live.hub.result(cell.runId)) as InspectResult, inside = result.stations.filter((one) => one.strand === 1 && one.sMm >= fromMm && one.sMm <= toMm);
    expect(found.kind).toBe(kind);
    expect(cell.said).toContain(`command ${n}: done, taken off: ${fromMm.toFixed(2)} to ${toMm.toFixed(2)} mm of strand 1, layer 1; it is laid again from there`);
    expect(cell.calls).not.toContain("rework"); // the row of it was written here
    expect(inside.length).toBeGreaterThan(4);
    expect(inside.map((one) => [one.attempt, one.measured?.support])).toEqual(inside.map(() => [2, "measured"]));
    expect(inside.slice(1, -1).map((one) => one.verdict)).toEqual(inside.slice(1, -1).map(() => "inBand"));
    for (const joint of [inside[0], inside.at(-1)]) expect(Math.abs((joint?.areaRatio ?? 0) - 1)).toBeLessThan(0.15);
    expect(result.earlierAttempts.some((one) => one.strand === 1 && one.attempt === 1 && one.verdict === (kind === "gap" ? "gap" : "under"))).toBe(true);
    expect(result.findings).toEqual([]);
    expect(result.stations.filter((one) => !one.laid)).toEqual([]);
    expect(live.hub.open(cell.runId).row.state).toBe("finished");
  });
});
