/** Seals by several keys: each change stands in the log before the first seal by the new one, and a seal by another key without it is found. */
import { generateKeyPairSync } from "node:crypto";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { checkLog } from "../../lib/log/checkLog.ts";
import { checkSeals } from "../../lib/log/checkSeals.ts";
import { entryLine, type LogDraft } from "../../lib/log/entries.ts";
import type { FaultKind } from "../../lib/log/faults.ts";
import { readPublicKeys, readSigningKey, type SigningKey } from "../../lib/log/keys.ts";
import { makeSeal, sealLine } from "../../lib/log/seals.ts";
import { verifyRecord, type Verified } from "../../lib/log/verifyRecord.ts";
import { appendEntries, readEntries, readEntriesOf, readSeals, sealLog } from "../../lib/store/logTable.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { tempStore, type TempStore } from "../support/tempStore.ts";

const AT = "2026-02-03T09:12:00.000Z";
const newKey = (): SigningKey => readSigningKey(generateKeyPairSync("ed25519").privateKey.export({ type: "pkcs8", format: "pem" }).toString(), "made");
const [A, B, C] = [newKey(), newKey(), newKey()];
const note: LogDraft = { actor: "M. Ort", at: AT, kind: "note.added", payload: { layer: 1, strand: 1, sMm: 1.5, text: "here" } };

let temp: TempStore, runId = "";
beforeEach(() => {
  temp = tempStore();
  runId = writeRun(temp.store.db, madeRun(3, temp.newId, madeResult({ layers: 1, strands: 1, lengthMm: 2, spacingMm: 0.5, widthMm: 0.9, heightMm: 0.4, faults: [] })));
});
afterEach(() => temp.remove());

const sealedBy = (...keys: readonly SigningKey[]): void => {
  for (const key of keys) {
    appendEntries(temp.store.db, runId, [note]);
    sealLog(temp.store.db, runId, { key, at: AT });
  }
};
const changes = () => readEntriesOf(temp.store.db, runId, "key.changed").map(({ seq, actor, payload: { from, to } }) => [seq, actor, from, to]);

/** The record as an export has it: the last seal's key first. */
function verified(known: SigningKey | null = null): Promise<Verified> {
  const { db } = temp.store, seals = readSeals(db, runId), pems = [...new Set(seals.map(({ publicKeyPem }) => publicKeyPem).reverse())].join("");
  const files: Readonly<Record<string, string>> = { "log.ndjson": [...readEntries(db, runId)].map((entry) => `${entryLine(entry)}\n`).join(""), "seals.ndjson": seals.map(({ seal }) => `${sealLine(seal)}\n`).join(""), "publicKey.pem": pems };
  const read = async function* (name: string): AsyncGenerator<Uint8Array> { yield Buffer.from(files[name] ?? ""); };
  return verifyRecord({ names: Object.keys(files), read }, known === null ? null : { pem: known.publicKeyPem, file: "--key" }, () => undefined);
}
function faultOf(): FaultKind | null {
  const { db } = temp.store, stored = readSeals(db, runId), { seals } = checkSeals(stored.map(({ seal }) => sealLine(seal)), stored.flatMap(({ publicKeyPem }) => readPublicKeys(publicKeyPem, "the database")));
  const check = checkLog(seals);
  for (const entry of readEntries(db, runId)) check.take(entryLine(entry));
  return check.finish().fault?.kind ?? null;
}

describe("a key that was changed", () => {
  it("stands in the log before the first seal by the new one, which covers it; with one key there is no such entry", () => {
    sealedBy(A, A);
    expect(changes()).toEqual([]);
    sealedBy(B, B);
    expect(changes()).toEqual([[6, "aslaid", A.keyId, B.keyId]]);
    expect(readSeals(temp.store.db, runId).map(({ seal: { count, keyId } }) => [count, keyId])).toEqual([[1, A.keyId], [3, A.keyId], [6, B.keyId], [8, B.keyId]]);
    expect(faultOf()).toBeNull();
  });

  it("three keys one after another, and the first one back again: every old seal still verifies", async () => {
    sealedBy(A, B, C, A);
    expect(changes().map(([, , from, to]) => [from, to])).toEqual([[A.keyId, B.keyId], [B.keyId, C.keyId], [C.keyId, A.keyId]]);
    expect(await verified()).toMatchObject({ fault: null, keyId: A.keyId, sealCount: 4, keys: [{ keyId: B.keyId, untilCount: 4 }, { keyId: C.keyId, untilCount: 7 }, { keyId: A.keyId, untilCount: 10 }] });
  });

  it("verify takes the newest key as --key; by an earlier one the record is not whole, and it says how far that one goes; by one that never sealed it, that alone", async () => {
    sealedBy(A, A, B);
    expect(await verified(B)).toMatchObject({ fault: null, keyId: B.keyId });
    expect(await verified(A)).toEqual({ fault: { kind: "keyDiffers", words: `the record is sealed with the key ${B.keyId}, and --key is ${A.keyId}, which sealed the first 3 of 6 entries: give the key that it was changed for, as you know it from elsewhere` } });
    expect(await verified(C)).toEqual({ fault: { kind: "keyDiffers", words: `the record is sealed with the key ${B.keyId}, and --key is ${C.keyId}` } });
  });

  it("nothing new, nothing sealed: another key alone adds neither seal nor entry", () => {
    sealedBy(A);
    sealLog(temp.store.db, runId, { key: B, at: AT });
    expect([changes(), readSeals(temp.store.db, runId).length]).toEqual([[], 1]);
  });
});

describe("a forged seal", () => {
  /** What somebody does who can write to the database and has a key of their own. */
  const forge = (drafts: readonly LogDraft[], key: SigningKey): void => {
    const { db } = temp.store, last = appendEntries(db, runId, drafts).at(-1) as { seq: number; hash: string }, seal = makeSeal(runId, last, { key, at: AT });
    db.prepare(`INSERT INTO "Seal" (runId, count, at, head, keyId, publicKeyPem, signature) VALUES (?, ?, ?, ?, ?, ?, ?)`).run(runId, seal.count, AT, seal.head, seal.keyId, key.publicKeyPem, seal.signature);
  };

  it("by another key that no entry names is found, its public key put in or not", async () => {
    sealedBy(A, A);
    forge([note], B);
    expect(faultOf()).toBe("keyUnsaid");
    expect(await verified()).toEqual({ fault: { kind: "keyUnsaid", words: `the seal over 5 entries is by another key, ${B.keyId}, and no entry says that ${A.keyId} was changed for it` } });
  });

  it("after an entry that names another change, or one that did not happen, is found", () => {
    sealedBy(A);
    forge([note, { actor: "aslaid", at: AT, kind: "key.changed", payload: { from: C.keyId, to: B.keyId } }], B);
    expect(faultOf()).toBe("keyUnsaid");
  });

  it("an entry that tells of a change where the key stayed is found", () => {
    sealedBy(A);
    forge([{ actor: "aslaid", at: AT, kind: "key.changed", payload: { from: A.keyId, to: B.keyId } }], A);
    expect(faultOf()).toBe("keyUnsaid");
  });

  it("with a key of their own and a change that fits, it is whole by itself: only the key known from elsewhere tells", async () => {
    sealedBy(A);
    sealedBy(B);
    expect([(await verified()).fault, (await verified(A)).fault?.kind]).toEqual([null, "keyDiffers"]);
  });
});
