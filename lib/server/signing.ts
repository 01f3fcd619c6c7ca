/** Signing a run's report: the passphrase again, the report kept as it was read, and an entry of the log that names it; all of it, or nothing. */
import { z } from "zod";
import { InputError } from "../base/errors.ts";
import { canonicalJson } from "../log/canonical.ts";
import { isNews, RECORD_FOLDERS, type KeptFile, type LogEntry } from "../model/log.ts";
import { NOTE_MAX_CHARS } from "../model/reason.ts";
import type { Report } from "../model/report.ts";
import { MEANINGS, type Signature, type SignInput } from "../model/signature.ts";
import { appendEntries, readEntries, sealLog } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { abandonStaging, closeStaging, digestFile, KEPT_MODE, keepStaged, openStaging, rawPath, writeFileFrom } from "../store/rawFiles.ts";
import type { Actor, Asking } from "./people/actor.ts";
import { confirmPerson } from "./people/signIn.ts";
import { readJson } from "./personInput.ts";
import { cleanText } from "./personText.ts";
import { recordAside } from "./recordAside.ts";
import { newId, nowIso, sharedStore } from "./settings.ts";
import { requireReviewer, requireWhole, signaturesIn } from "./signatures.ts";

export interface SigningPorts {
  /** The report of a result as of now; null: there is none. */
  readonly reportOf: (store: Store, runId: string, resultId: string) => Promise<Report | null>;
  /** The same report for paper. */
  readonly makePdf: (report: Report) => Promise<Uint8Array>;
}

const input = z.object({ resultId: z.string(), meaning: z.enum(MEANINGS), remarks: z.string(), passphrase: z.string().max(4000), head: z.string() });
/** InputError upload.badRequest, source.tooLarge. */
export const readSigning = (request: Request): Promise<SignInput> => readJson(request, input);

/** To accept takes no words; remarks, and the reason of a rejection, are words. */
function remarksOf({ meaning, remarks }: SignInput): string {
  return cleanText(remarks, { key: "remarks", least: meaning === "accept" ? 0 : 1, most: NOTE_MAX_CHARS });
}

function refuseGrown(got: string): never {
  throw new InputError("sign.grown", "the record as you had it before you", `${got}: the record has grown since you opened it, read it again`, { key: "head" });
}

/** Nothing new may stand after what the person had before them. */
function requireSeen(entries: readonly LogEntry[], head: string): void {
  const at = entries.findIndex(({ hash }) => hash === head);
  if (at < 0) refuseGrown("another head");
  const news = entries.slice(at + 1).filter(isNews).length;
  if (news > 0) refuseGrown(`${news} more ${news === 1 ? "entry" : "entries"}`);
}

/** Every file that the log names still has the bytes that it came with: whoever signs stands for them. InputError sign.notWhole. */
async function requireBytes({ raw }: Store, entries: readonly LogEntry[]): Promise<void> {
  const dropped = new Set(entries.flatMap(({ kind, payload }) => (kind === "raw.dropped" ? (payload as LogEntry<"raw.dropped">["payload"]).sha256 : [])));
  const files = new Map(entries.flatMap(({ payload }) => ("sha256" in payload && "size" in payload ? [[(payload as KeptFile).sha256, payload as KeptFile]] : [])));
  for (const { name, sha256 } of files.values()) {
    if (dropped.has(sha256)) continue;
    const found = await digestFile(rawPath(raw, sha256), { name, heard: () => undefined });
    if (found.sha256 !== sha256) throw new InputError("sign.notWhole", "a record that is whole", `one where the file ${name} was changed`, {});
  }
}

async function* oneChunk(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes;
}

interface Writing { readonly report: Report; readonly files: readonly [KeptFile, KeptFile]; readonly staging: string; readonly actor: string; readonly ownRun: boolean; readonly remarks: string }

/** Both files and the entry, sealed, in one transaction; nothing where the record has grown since the report was made. */
function write(store: Store, runId: string, { resultId, meaning }: SignInput, { report: { head: { logHead, logCount } }, files, staging, actor, ownRun, remarks }: Writing): Signature {
  const { db, raw, signingKey } = store, at = nowIso(), [file] = files;
  return db.transaction((): Signature => {
    const last = db.prepare(`SELECT hash FROM "LogEntry" WHERE runId = ? ORDER BY seq DESC LIMIT 1`).pluck().get(runId);
    if (last !== logHead) refuseGrown("another entry");
    keepStaged(db, raw, { runId, staging, files });
    const payload = { ...file, resultId, meaning, remarks, printedName: actor, head: logHead, count: logCount, ownRun };
    appendEntries(db, runId, [...files.map((each) => ({ actor, at, kind: "raw.kept" as const, payload: each })), { actor, at, kind: "run.signed", payload }]);
    sealLog(db, runId, { key: signingKey, at });
    return signaturesIn([...readEntries(db, runId)]).at(-1) as Signature;
  }).immediate();
}

/**
 * Signs the report of a result. The passphrase is asked for again at this moment, and a wrong one counts as a failed sign-in; then the report is made
 * anew, has to tell of nothing that the person had not before them, and is kept as reports/N.json (canonical JSON: its hash is what is signed) and
 * reports/N.pdf. InputError store.noRun, log.badValue, sign.*, people.wrong, people.wait, source.diskFull.
 */
export async function signReport(request: Asking, actor: Actor, runId: string, asked: SignInput, ports: SigningPorts, store: Store = sharedStore()): Promise<Signature> {
  const remarks = remarksOf(asked), { ownRun, entries } = requireReviewer(store, runId, actor.name);
  requireSeen(entries, asked.head);
  await confirmPerson(request, actor, asked.passphrase, store);
  requireWhole(await recordAside(runId));
  await requireBytes(store, entries);
  const report = await ports.reportOf(store, runId, asked.resultId);
  if (report === null) throw new InputError("store.noRun", "a result of this run", JSON.stringify(asked.resultId), {});
  const pdf = await ports.makePdf(report), name = `${RECORD_FOLDERS.reports}/${signaturesIn(entries).length + 1}`, staging = openStaging(store.raw, newId());
  try {
    const keep = (ending: string, bytes: Uint8Array): Promise<KeptFile> => writeFileFrom(staging, { name: `${name}.${ending}`, chunks: oneChunk(bytes), mode: KEPT_MODE, heard: () => undefined });
    const files = [await keep("json", Buffer.from(canonicalJson(report))), await keep("pdf", pdf)] as const;
    const signature = write(store, runId, asked, { report, files, staging, actor: actor.name, ownRun, remarks });
    closeStaging(store.raw, staging);
    return signature;
  } catch (error) {
    abandonStaging(store.db, store.raw, staging);
    throw error;
  }
}
