import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { DISPOSITION_REASONS, DISPOSITIONS } from "../../lib/model/disposition.ts";
import { NOTE_MAX_CHARS } from "../../lib/model/reason.ts";
import { addNote, disposeFinding, dispositionsOf, notesOf } from "../../lib/server/dispositions.ts";
import type { DispositionInput, NoteInput } from "../../lib/server/dispositions.ts";
import { recordOf } from "../../lib/server/record.ts";
import { newId, sharedStore } from "../../lib/server/settings.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";

const data = ownData();
let runId = "", resultId = "";
beforeAll(async () => {
  runId = (await command("import", EXAMPLE)).out.trim();
  resultId = String(sharedStore().db.prepare(`SELECT id FROM "Result"`).pluck().get());
});
afterAll(() => data.restore());

const decide = (more: Partial<DispositionInput> = {}) => disposeFinding(runId, { resultId, findingIndex: 0, disposition: "false", reason: "sensorArtefact", note: "", ...more }, "Zoë");
const pin = (more: Partial<NoteInput> = {}) => addNote(runId, { layer: 1, strand: 1, sMm: 2.4, text: "here", ...more }, "M. Ort");
const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    return error instanceof InputError ? `${error.code} ${error.place.key ?? ""}`.trim() : String(error);
  }
  return "no error";
};

describe("a finding's disposition", () => {
  it("is an entry of the log, sealed when it is acknowledged, and read back from it; of two the later stands last", () => {
    const before = recordOf(runId);
    const first = decide({ note: "  Glanz\r\nüber dem Rand  " });
    expect(first).toMatchObject({ seq: before.count + 2, findingIndex: 0, disposition: "false", reason: "sensorArtefact", note: "Glanz\nüber dem Rand", actor: "Zoë" });
    const after = recordOf(runId);
    expect(after).toMatchObject({ whole: true, problem: null, count: before.count + 2, lastSealAt: first.at, keyId: sharedStore().signingKey.keyId });
    expect(after.head).not.toBe(before.head);
    decide({ disposition: "takenOffAndLaidAgain", reason: "laidAgainAtOnce" });
    expect(dispositionsOf(runId).map(({ disposition }) => disposition)).toEqual(["false", "takenOffAndLaidAgain"]);
    expect(dispositionsOf(runId)[0]).toEqual(first);
  });

  it("every disposition has reasons of its own, and `other` among them", () => {
    for (const disposition of DISPOSITIONS) expect(DISPOSITION_REASONS[disposition].map(({ code }) => code)).toContain("other");
    expect(codeOf(() => decide({ reason: "laidAgainLater" }))).toBe("log.badValue reason");
    expect(codeOf(() => decide({ disposition: "fine" as "false" }))).toBe("log.badValue disposition");
  });

  it("`other` asks for a note; a note of 2000 characters fits, one of 2001 and control characters do not", () => {
    expect(codeOf(() => decide({ reason: "other", note: " " }))).toBe("log.badValue note");
    expect(decide({ reason: "other", note: "x".repeat(NOTE_MAX_CHARS) }).note).toHaveLength(2000);
    for (const note of ["x".repeat(NOTE_MAX_CHARS + 1), "a\u0000b", "a\u007fb", "a\ud800b"]) expect(codeOf(() => decide({ note }))).toBe("log.badValue note");
  });

  it("of no such run, result or finding is refused, and nothing is written", () => {
    const { count } = recordOf(runId);
    expect(codeOf(() => disposeFinding("none", { resultId, findingIndex: 0, disposition: "false", reason: "other", note: "x" }, "Zoë"))).toBe("store.noRun");
    expect(codeOf(() => decide({ findingIndex: 1 }))).toBe("store.noFinding");
    expect(codeOf(() => decide({ resultId: "none" }))).toBe("store.noFinding");
    expect(recordOf(runId).count).toBe(count);
  });
});

describe("a note", () => {
  it("is pinned to a place of a strand, to a thousandth of a millimetre, and read back", () => {
    const note = pin({ sMm: 2.34567, text: "eine\nNotiz" });
    expect(notesOf(runId)).toEqual([note]);
    expect(note).toMatchObject({ layer: 1, strand: 1, sMm: 2.346, text: "eine\nNotiz", actor: "M. Ort" });
    expect(recordOf(runId).whole).toBe(true);
  });

  it("at 0 and at the strand's end is taken; before, beyond, nowhere and on no strand is refused", () => {
    const lengthMm = Number(sharedStore().db.prepare(`SELECT lengthMm FROM "Strand"`).pluck().get());
    for (const sMm of [0, lengthMm, lengthMm + 0.0009]) expect(codeOf(() => pin({ sMm }))).toBe("no error");
    for (const sMm of [-0.001, lengthMm + 0.0011, Number.NaN]) expect(codeOf(() => pin({ sMm }))).toBe("log.badValue sMm");
    expect(codeOf(() => pin({ strand: 99 }))).toBe("log.badValue strand");
    expect(codeOf(() => pin({ text: " " }))).toBe("log.badValue text");
  });
});

describe("the record of a run", () => {
  it("that is not here, or came in before records were kept, is not whole and has no entry", () => {
    expect(recordOf("none")).toEqual({ whole: false, problem: "the log has no entry: all of them are missing", head: "", count: 0, lastSealAt: null, keyId: "" });
  });

  it("that came in before records were kept takes no entry and is not exported: log.noRecord", async () => {
    const old = writeRun(sharedStore().db, madeRun(4, newId, madeResult({ layers: 1, strands: 1, lengthMm: 2, spacingMm: 0.5, widthMm: 0.9, heightMm: 0.4, faults: [] })));
    expect(codeOf(() => addNote(old, { layer: 1, strand: 1, sMm: 1, text: "here" }, "Zoë"))).toBe("log.noRecord");
    expect((await command("export", old, "--out", `${data.place}/old`)).err[0]).toMatch(/^log\.noRecord: /);
    expect(recordOf(old).whole).toBe(false);
  });

  it.each([
    ["a reading's area", `UPDATE "Reading" SET areaMm2 = areaMm2 * 1.0000001 WHERE stationIndex = 1`],
    ["a verdict", `UPDATE "Reading" SET verdict = 'inBand' WHERE verdict = 'gap'`],
    ["a finding taken out", `DELETE FROM "Finding"`],
    ["a limit", `UPDATE "LimitSet" SET gapRatio = 0.01`],
    ["the count of act findings", `UPDATE "Result" SET actFindingCount = 0`],
    ["a strand", `UPDATE "Strand" SET lengthMm = 5.5`],
    ["the job as it is shown", `UPDATE "Run" SET jobText = replace(jobText, '0.005', '0.006')`],
    ["the run's name", `UPDATE "Run" SET name = 'another'`],
    ["an older reading", `UPDATE "ReadingHistory" SET verdict = 'inBand' WHERE ordinal = 1`],
    ["a section's picture", `UPDATE "StationCut" SET drawing = substr(drawing, 1, length(drawing) - 1) || x'01' WHERE stationIndex = 2`],
    ["the pre-flight list", `UPDATE "BeforePrint" SET preflightJson = '{}'`],
  ])("%s changed in the database is found", (_, sql) => {
    const { db } = sharedStore();
    expect(recordOf(runId)).toMatchObject({ whole: true, problem: null });
    db.exec("SAVEPOINT changed");
    try {
      expect(db.prepare(sql).run().changes).toBeGreaterThan(0);
      expect(recordOf(runId)).toMatchObject({ whole: false, problem: "what the database holds of the run and its readings is not what was written into it" });
    } finally {
      db.exec("ROLLBACK TO changed; RELEASE changed");
    }
    expect(recordOf(runId).whole).toBe(true);
  });

  it("an entry changed behind the triggers' back is found and named", () => {
    const { db } = sharedStore();
    db.transaction(() => {
      db.exec(`DROP TRIGGER "LogEntry_refuses_update"`);
      db.prepare(`UPDATE "LogEntry" SET actor = 'nobody' WHERE runId = ? AND seq = 3`).run(runId);
    })();
    expect(recordOf(runId)).toMatchObject({ whole: false, problem: "entry 3 (raw.kept) was changed: its hash does not fit what it says" });
  });
});
