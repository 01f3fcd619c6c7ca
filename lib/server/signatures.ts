/** Signatures under reports of a run, as its log has them, and who may add one. */
import { InputError } from "../base/errors.ts";
import { operatingDeeds } from "../log/operators.ts";
import { isNews, type LogEntry, type RunRecord } from "../model/log.ts";
import { MEANING_WORDS, type Signature, type Signed } from "../model/signature.ts";
import { OPEN_STATES, type RunState } from "../model/liveRun.ts";
import { readEntries } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { requireRun } from "./record.ts";
import { ownRunsMaySign, sharedStore } from "./settings.ts";

type Place = Pick<Store, "db">;

function signatureFrom({ seq, at, payload }: LogEntry<"run.signed">, notCovered: number): Signature {
  const { name, sha256, printedName, meaning, remarks, resultId, head, count, ownRun } = payload;
  return { seq, at, printedName, meaning, remarks, resultId, reportName: name, reportSha256: sha256, head, count, ownRun, notCovered };
}

/** Every signature that an array of entries in order holds, each with how many later ones say something new. */
export function signaturesIn(entries: readonly LogEntry[]): Signature[] {
  let newsAfter = 0;
  const found: Signature[] = [];
  for (const entry of entries.toReversed()) {
    if (entry.kind === "run.signed") found.push(signatureFrom(entry as LogEntry<"run.signed">, newsAfter));
    if (isNews(entry)) newsAfter++;
  }
  return found.reverse();
}

/** Every signature under the run's reports, in the order of the log. */
export function signaturesOf(runId: string, { db }: Place = sharedStore()): Signature[] {
  return signaturesIn([...readEntries(db, runId)]);
}

/** The newest signature of each person, in the order in which they signed: these count. `resultId`: under this result's report alone. */
export function standingSignatures(signatures: readonly Signature[], resultId: string): Signature[] {
  const newest = new Map<string, Signature>();
  for (const signature of signatures.filter((each) => each.resultId === resultId)) {
    newest.delete(signature.printedName);
    newest.set(signature.printedName, signature);
  }
  return [...newest.values()];
}

/** "accepted by Dana Reyes, rejected by Kim Sand", of those that count; "not signed". */
export function signedWords(signatures: readonly Signature[], resultId: string): string {
  const standing = standingSignatures(signatures, resultId);
  return standing.length === 0 ? "not signed" : `signed: ${standing.map(({ meaning, printedName }) => `${MEANING_WORDS[meaning].done} by ${printedName}`).join(", ")}`;
}

/** The signatures under a result's report, for its title block. */
export function signedOf(runId: string, resultId: string, store: Place = sharedStore()): Signed {
  const signatures = signaturesOf(runId, store), last = signatures.findLast((each) => each.resultId === resultId);
  return { words: signedWords(signatures, resultId), last: last === undefined ? null : { seq: last.seq, actor: last.printedName } };
}

interface Signing { readonly ownRun: boolean; readonly entries: readonly LogEntry[] }

/**
 * What has to be so before this person may sign, whatever they mean by it: the run is over, and they did not operate it (or the bench has one person
 * alone, and says so). InputError store.noRun, sign.notOver, sign.ownRun.
 */
export function requireReviewer(store: Store, runId: string, name: string): Signing {
  requireRun(store, runId);
  const state = store.db.prepare(`SELECT state FROM "Run" WHERE id = ?`).pluck().get(runId) as RunState;
  if (OPEN_STATES.includes(state)) throw new InputError("sign.notOver", "a run that is over", `one that is ${state}`, {});
  const entries = [...readEntries(store.db, runId)], deeds = operatingDeeds(entries, name, { isRecorded: state === "recorded" });
  if (deeds.length > 0 && !ownRunsMaySign()) throw new InputError("sign.ownRun", "somebody who did not operate this run", `${name}, who ${inOneLine(deeds)}`, {});
  return { ownRun: deeds.length > 0, entries };
}

/** InputError sign.notWhole. */
export function requireWhole({ whole, problem }: Pick<RunRecord, "whole" | "problem">): void {
  if (!whole) throw new InputError("sign.notWhole", "a record that is whole", `one where ${problem ?? "something is wrong"}`, {});
}

/** "armed it, opened its gate and ended it" */
function inOneLine(deeds: readonly string[]): string {
  return deeds.length < 2 ? deeds[0] ?? "" : `${deeds.slice(0, -1).join(", ")} and ${deeds.at(-1)}`;
}

/** Why this person cannot sign the report that they have before them, as a sentence; null: nothing stands against it. `recordWords`: of the report's head. */
export function signRefusal(runId: string, name: string, recordWords: string, store: Store = sharedStore()): string | null {
  if (recordWords !== "whole") return `What is not whole is not signed. The record is ${recordWords}.`;
  try {
    requireReviewer(store, runId, name);
    return null;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    switch (error.code) {
      case "sign.notOver": return "The run is not over: there is nothing to sign yet.";
      case "sign.ownRun": return `You operated this run, and nobody signs their own: ${error.message.replace(/^.*, who /, "you ")}.`;
      default: return `This run cannot be signed: ${error.message}.`;
    }
  }
}
