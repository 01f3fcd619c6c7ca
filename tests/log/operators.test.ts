import { describe, expect, it } from "vitest";
import { chainEntry, EMPTY_LOG, type LogDraft, type LogHead } from "../../lib/log/entries.ts";
import { operatingDeeds } from "../../lib/log/operators.ts";
import { isNews, type LogEntry, type LogKind, type LogPayloads } from "../../lib/model/log.ts";

/** A log of these kinds, each by its actor; payloads hold nothing, for nobody reads them here. */
function logOf(...said: readonly (readonly [LogKind, string])[]): LogEntry[] {
  let head: LogHead = EMPTY_LOG;
  return said.map(([kind, actor]) => {
    const entry = chainEntry("run", head, { actor, at: "2026-02-03T09:12:00.000Z", kind, payload: {} as LogPayloads[LogKind] } as LogDraft);
    head = entry;
    return entry;
  });
}
const END = ["run.finished", "aslaid"] as const;
const LIVE = { isRecorded: false };
const deeds = (name: string, ...said: readonly (readonly [LogKind, string])[]): string[] => operatingDeeds(logOf(...said), name, LIVE);

describe("who operated a run", () => {
  it.each([
    ["run.created", "armed it"], ["run.endAsked", "ended it"], ["command.asked", "asked its cell for something"], ["alert.acknowledged", "answered its alerts"], ["alert.shelved", "answered its alerts"],
    ["alert.unshelved", "answered its alerts"], ["alert.noted", "answered its alerts"], ["alert.disposed", "answered its alerts"], ["strand.takenOff", "took a strand off"], ["paste.marked", "marked its paste"], ["gate.opened", "opened its gate"],
    ["autoPause.set", "set its automatic pauses"], ["note.added", "noted at it while it went on"], ["finding.disposed", "decided about its findings while it went on"],
  ] as const)("%s: whoever %s did", (kind, words) => {
    expect(deeds("Dana Reyes", [kind, "Dana Reyes"], END)).toEqual([words]);
    expect(deeds("Kim Sand", [kind, "Dana Reyes"], END)).toEqual([]);
  });

  it("a pause from a screen by somebody who was signed in there counts as theirs; from a screen without a name as nobody's", () => {
    expect(deeds("Dana Reyes", ["command.asked", "Dana Reyes at screen 4f2c19"], END)).toEqual(["asked its cell for something"]);
    expect(deeds("Dana", ["command.asked", "Dana Reyes at screen 4f2c19"], END)).toEqual([]);
    expect(deeds("Dana Reyes", ["command.asked", "screen 4f2c19"], END)).toEqual([]);
  });

  it("deciding and noting once the run is over, opening its report, signing, recomputing and being signed in are none of it", () => {
    const after: readonly LogKind[] = ["finding.disposed", "note.added", "report.opened", "run.signed", "result.recomputed", "scan.added", "person.signedIn", "person.signedOut"];
    expect(deeds("Dana Reyes", END, ...after.map((kind) => [kind, "Dana Reyes"] as const))).toEqual([]);
    expect(deeds("Dana Reyes", ["run.aborted", "aslaid"], ["note.added", "Dana Reyes"])).toEqual([]);
    expect(deeds("Dana Reyes", ["person.signedIn", "Dana Reyes"], END)).toEqual([]);
  });

  it("bringing in the folder of a run that was recorded elsewhere is none of it", () => {
    const entries = logOf(["run.created", "Dana Reyes"], ["raw.kept", "Dana Reyes"], END, ["note.added", "Dana Reyes"]);
    expect(operatingDeeds(entries, "Dana Reyes", { isRecorded: true })).toEqual([]);
    expect(operatingDeeds(entries, "Dana Reyes", LIVE)).toEqual(["armed it"]);
  });

  it("each deed is told once, in the order of the log", () => {
    expect(deeds("Dana Reyes", ["run.created", "Dana Reyes"], ["command.asked", "Dana Reyes"], ["alert.noted", "Dana Reyes"], ["command.asked", "Dana Reyes at screen 1"], ["alert.disposed", "Dana Reyes"], END))
      .toEqual(["armed it", "asked its cell for something", "answered its alerts"]);
  });
});

describe("news of a run", () => {
  it("is what was decided, noted, computed, scanned or given up; seals, signatures, who looked and files alone are none", () => {
    for (const kind of ["finding.disposed", "note.added", "result.recomputed", "scan.added", "raw.dropped", "run.finished"] as const) expect(isNews({ kind })).toBe(true);
    for (const kind of ["seal.named", "key.changed", "report.opened", "run.signed", "raw.kept", "server.began", "person.signedIn", "person.signedOut"] as const) expect(isNews({ kind })).toBe(false);
  });
});
