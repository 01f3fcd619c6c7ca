/** Signing over a real database: who may, what is kept, what a wrong passphrase costs, what was not covered. */
import { readFileSync, writeFileSync, chmodSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { sha256Hex } from "../../lib/log/hash.ts";
import { nameKeyOf, type Role } from "../../lib/model/person.ts";
import type { Signature, SignInput } from "../../lib/model/signature.ts";
import { addNote } from "../../lib/server/dispositions.ts";
import type { Actor } from "../../lib/server/people/actor.ts";
import { hashPassphrase } from "../../lib/server/people/passphrase.ts";
import { recordEntry, recordOf } from "../../lib/server/record.ts";
import { reportOf } from "../../lib/server/report.ts";
import { noteReportOpened } from "../../lib/server/reportOpened.ts";
import { newId, nowIso, sharedStore } from "../../lib/server/settings.ts";
import { signedWords, signaturesOf, signRefusal, standingSignatures } from "../../lib/server/signatures.ts";
import { signReport } from "../../lib/server/signing.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { addPerson } from "../../lib/store/people.ts";
import { rawPath } from "../../lib/store/rawFiles.ts";
import { asking } from "../support/asking.ts";
import { reportNow } from "../support/reportNow.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";

const data = ownData();
const PASSPHRASE = "wet paste on machined foam", PDF = new TextEncoder().encode("%PDF-1.7 as it is\n");
const ports = { reportOf: reportNow, makePdf: async (): Promise<Uint8Array> => PDF };
let runId = "", resultId = "", address = 0;
const people: Record<string, Actor> = {};

async function letIn(name: string, roles: readonly Role[]): Promise<void> {
  const personId = newId();
  addPerson(sharedStore().db, { id: personId, name, nameKey: nameKeyOf(name), roles, passphraseHash: await hashPassphrase(PASSPHRASE), createdAt: nowIso() });
  people[name] = { personId, name, roles, tokenSha256: "" };
}
beforeAll(async () => {
  vi.useFakeTimers({ toFake: ["Date"], now: Date.parse("2026-02-03T09:12:00.000Z") });
  runId = (await command("import", EXAMPLE)).out.trim();
  resultId = String(sharedStore().db.prepare(`SELECT id FROM "Result"`).pluck().get());
  for (const name of ["Dana Reyes", "Kim Sand"]) await letIn(name, ["reviewer"]);
});
beforeEach(() => { vi.setSystemTime(Date.now() + 3_600_001); }); // whoever failed is forgotten
afterAll(async () => {
  vi.useRealTimers();
  await data.restore();
});

const sign = (more: Partial<SignInput> = {}, name = "Dana Reyes"): Promise<Signature> =>
  signReport(asking("/", {}, { address: `192.0.2.${++address}` }), people[name] as Actor, runId, { resultId, meaning: "accept", remarks: "", passphrase: PASSPHRASE, head: recordOf(runId).head, ...more }, ports);
const codeOf = async (work: () => Promise<unknown>): Promise<string> => work().then(() => "done", (error: unknown) => (error instanceof InputError ? `${error.code} ${error.place.key ?? ""}`.trim() : String(error)));
const live = async (work: () => Promise<unknown>): Promise<void> => {
  const { db } = sharedStore();
  db.prepare(`UPDATE "Run" SET state = 'finished' WHERE id = ?`).run(runId);
  try {
    await work();
  } finally {
    db.prepare(`UPDATE "Run" SET state = 'recorded' WHERE id = ?`).run(runId);
  }
};

describe("a signature", () => {
  it("keeps the report as canonical JSON and as PDF by their hashes, names head and count, and is sealed", async () => {
    const before = recordOf(runId), signature = await sign();
    expect(signature).toMatchObject({ printedName: "Dana Reyes", meaning: "accept", remarks: "", resultId, reportName: "reports/1.json", head: before.head, count: before.count, ownRun: false, notCovered: 0, at: nowIso() });
    const { raw, db } = sharedStore(), text = readFileSync(rawPath(raw, signature.reportSha256), "utf8");
    expect(sha256Hex(text)).toBe(signature.reportSha256);
    expect(JSON.parse(text)).toMatchObject({ contract: "aslaid/1", head: { logHead: before.head, logCount: before.count, signedWords: "not signed" } });
    expect(text.startsWith('{"contract":"aslaid/1","head":{"logCount":')).toBe(true);
    expect(readFileSync(rawPath(raw, readEntriesOf(db, runId, "raw.kept").at(-1)?.payload.sha256 ?? ""))).toEqual(Buffer.from(PDF));
    expect(recordOf(runId)).toMatchObject({ whole: true, count: before.count + 4, lastSealAt: signature.at });
  });

  it("over the whole report, with what measuring says, is kept byte for byte as it is made again from the same record", async () => {
    const { raw } = sharedStore(), before = await reportOf(sharedStore(), runId, resultId), signature = await signReport(asking("/", {}, { address: "192.0.2.201" }), people["Kim Sand"] as Actor, runId, { resultId, meaning: "accept", remarks: "", passphrase: PASSPHRASE, head: recordOf(runId).head }, { ...ports, reportOf });
    expect(JSON.parse(readFileSync(rawPath(raw, signature.reportSha256), "utf8"))).toEqual(JSON.parse(JSON.stringify(before)));
    expect(before?.sections.map(({ id }) => id)).toEqual(expect.arrayContaining(["basis", "findings", "alerts", "commands", "deeds", "signatures", "record"]) as unknown);
    expect((await reportOf(sharedStore(), runId, resultId))?.head.signedWords).toBe("signed: accepted by Dana Reyes, accepted by Kim Sand");
  });

  it("goes with the export, which verifies", async () => {
    const out = join(data.place, "signed");
    expect((await command("export", runId, "--out", out)).code).toBe(0);
    expect((await command("verify", out)).out).toContain("9 files");
    expect(readFileSync(join(out, "reports", "1.pdf"))).toEqual(Buffer.from(PDF));
  });

  it("of several the newest of each person counts, and a later rejection shows beside it", async () => {
    await sign({ meaning: "reject", remarks: "Das Ende fehlt." }, "Kim Sand");
    await sign({ meaning: "acceptWithRemarks", remarks: "  rim\r\nby hand " });
    const all = signaturesOf(runId);
    expect(all.map(({ printedName, meaning, remarks, reportName }) => [printedName, meaning, remarks, reportName])).toEqual([
      ["Dana Reyes", "accept", "", "reports/1.json"], ["Kim Sand", "accept", "", "reports/2.json"], ["Kim Sand", "reject", "Das Ende fehlt.", "reports/3.json"], ["Dana Reyes", "acceptWithRemarks", "rim\nby hand", "reports/4.json"],
    ]);
    expect(standingSignatures(all, resultId).map(({ printedName }) => printedName)).toEqual(["Kim Sand", "Dana Reyes"]);
    expect(signedWords(all, resultId)).toBe("signed: rejected by Kim Sand, accepted with remarks by Dana Reyes");
    expect(signedWords(all, "another result")).toBe("not signed");
  });

  it("does not cover two notes that came after it, and later signatures, looks and seals are no news", async () => {
    addNote(runId, { layer: 1, strand: 1, sMm: 1, text: "later" }, "Kim Sand");
    addNote(runId, { layer: 1, strand: 1, sMm: 2, text: "later still" }, "Kim Sand");
    noteReportOpened(people["Kim Sand"] as Actor, runId, resultId);
    await sign({}, "Kim Sand");
    expect(signaturesOf(runId).map(({ notCovered }) => notCovered)).toEqual([2, 2, 2, 2, 0]);
  });
});

describe("no signature, and nothing written,", () => {
  const refusal = async (work: () => Promise<unknown>): Promise<string> => {
    const { head } = recordOf(runId), code = await codeOf(work);
    return recordOf(runId).head === head ? code : `${code}, and something was written`;
  };

  it("without remarks where the meaning asks for them, or with 2001 characters", async () => {
    expect(await refusal(() => sign({ meaning: "reject", remarks: "  " }))).toBe("log.badValue remarks");
    expect(await refusal(() => sign({ meaning: "acceptWithRemarks", remarks: "" }))).toBe("log.badValue remarks");
    expect(await refusal(() => sign({ meaning: "reject", remarks: "x".repeat(2001) }))).toBe("log.badValue remarks");
  });

  it("with a wrong passphrase; the fourth in a row waits 1 s though it is right, as signing in does", async () => {
    for (let i = 0; i < 4; i++) expect(await refusal(() => sign({ passphrase: "another set of words" }))).toBe("people.wrong");
    expect(await refusal(() => sign())).toBe("people.wait");
    vi.setSystemTime(Date.now() + 1001);
    expect(await codeOf(() => sign())).toBe("done");
  });

  it("where a note came after what the person had before them, or a head that was never there", async () => {
    const { head } = recordOf(runId);
    addNote(runId, { layer: 1, strand: 1, sMm: 3, text: "meanwhile" }, "Kim Sand");
    expect(await refusal(() => sign({ head }))).toBe("sign.grown head");
    expect(await refusal(() => sign({ head: "0".repeat(64) }))).toBe("sign.grown head");
  });

  it("where an entry comes while the report is being made", async () => {
    const slow = { ...ports, makePdf: async (): Promise<Uint8Array> => { addNote(runId, { layer: 1, strand: 1, sMm: 4, text: "just now" }, "Kim Sand"); return PDF; } }, before = signaturesOf(runId).length;
    expect(await codeOf(() => signReport(asking("/", {}, { address: "192.0.2.200" }), people["Dana Reyes"] as Actor, runId, { resultId, meaning: "accept", remarks: "", passphrase: PASSPHRASE, head: recordOf(runId).head }, slow))).toBe("sign.grown head");
    expect([signaturesOf(runId).length, recordOf(runId).whole]).toEqual([before, true]);
  });

  it("of a run that is still open", async () => {
    const { db } = sharedStore();
    db.prepare(`UPDATE "Run" SET state = 'paused' WHERE id = ?`).run(runId);
    expect(await refusal(() => sign())).toBe("sign.notOver");
    expect(signRefusal(runId, "Dana Reyes", "whole")).toBe("The run is not over: there is nothing to sign yet.");
    db.prepare(`UPDATE "Run" SET state = 'recorded' WHERE id = ?`).run(runId);
  });

  it("where the bytes of a kept file were changed, though its size is the same, or a kept file is gone", async () => {
    const { db, raw } = sharedStore(), { sha256 } = readEntriesOf(db, runId, "raw.kept").find(({ payload: { name } }) => name === "progress.csv")?.payload ?? { sha256: "" };
    const path = rawPath(raw, sha256), bytes = readFileSync(path);
    chmodSync(path, 0o644);
    writeFileSync(path, Buffer.concat([bytes.subarray(0, -1), Buffer.from("?")]));
    expect(await refusal(() => sign())).toBe("sign.notWhole");
    rmSync(path);
    expect(await refusal(() => sign())).toBe("sign.notWhole");
    expect(signRefusal(runId, "Dana Reyes", (await reportNow(sharedStore(), runId, resultId)).head.recordWords)).toBe("What is not whole is not signed. The record is not whole: the file progress.csv is not kept as it came.");
    writeFileSync(path, bytes);
    expect(signRefusal(runId, "Dana Reyes", "whole")).toBeNull();
  });

  it("where a reading was changed in the database", async () => {
    const { db } = sharedStore();
    db.exec(`UPDATE "Reading" SET areaMm2 = areaMm2 * 2 WHERE stationIndex = 1`);
    expect(await refusal(() => sign())).toBe("sign.notWhole");
    db.exec(`UPDATE "Reading" SET areaMm2 = areaMm2 / 2 WHERE stationIndex = 1`);
    expect(await codeOf(() => sign())).toBe("done");
  });
});

describe("whoever operated the run", () => {
  it("does not sign it; where the bench says that it has one person alone they do, and the signature says so", async () => {
    recordEntry(sharedStore(), runId, { actor: "Dana Reyes at screen 4f2c19", at: nowIso(), kind: "command.asked", payload: { n: 1, command: "{}" } });
    await live(async () => {
      expect(await codeOf(() => sign())).toBe("sign.ownRun");
      expect(signRefusal(runId, "Dana Reyes", "whole")).toBe("You operated this run, and nobody signs their own: you asked its cell for something.");
      expect((await sign({}, "Kim Sand")).ownRun).toBe(false);
      process.env["ASLAID_OWN_RUNS"] = "sign";
      expect(signRefusal(runId, "Dana Reyes", "whole")).toBeNull();
      expect((await sign()).ownRun).toBe(true);
      process.env["ASLAID_OWN_RUNS"] = "refuse";
      expect(await codeOf(() => sign())).toBe("sign.ownRun");
    });
  });
});

describe("opening a report", () => {
  const opened = (): number => readEntriesOf(sharedStore().db, runId, "report.opened").length;

  it("is noted once for a person and a result, and again once something new was said of the run", () => {
    const dana = people["Dana Reyes"] as Actor, kim = people["Kim Sand"] as Actor, before = opened();
    for (let i = 0; i < 5; i++) for (const who of [dana, kim]) noteReportOpened(who, runId, resultId);
    expect(opened() - before).toBe(2);
    noteReportOpened(dana, runId, "another result");
    addNote(runId, { layer: 1, strand: 1, sMm: 1, text: "news" }, "Kim Sand");
    for (let i = 0; i < 3; i++) noteReportOpened(dana, runId, resultId);
    expect(opened() - before).toBe(4);
    expect(recordOf(runId).whole).toBe(true);
  });

  it("by nobody, or by somebody who may not sign, is not noted, nor on a run that is not here", () => {
    const before = opened();
    noteReportOpened(null, runId, resultId);
    noteReportOpened({ name: "Op Erator", roles: ["operator", "engineer", "administrator"] }, runId, resultId);
    noteReportOpened(people["Dana Reyes"] as Actor, "none", resultId);
    expect(opened()).toBe(before);
  });

  it("goes on where the disk refuses to write", () => {
    const store = sharedStore(), full = { ...store, db: new Proxy(store.db, { get: (db, key) => {
      if (key === "transaction") return () => ({ immediate: () => { throw Object.assign(new Error("database or disk is full"), { code: "SQLITE_FULL" }); } });
      const value: unknown = Reflect.get(db, key, db);
      return typeof value === "function" ? (value as (...args: unknown[]) => unknown).bind(db) : value;
    } }) };
    const before = opened();
    expect(() => noteReportOpened({ name: "Ada New", roles: ["reviewer"] }, runId, resultId, full)).not.toThrow();
    expect(opened()).toBe(before);
  });
});
