/** What people decide about findings and note at places: entries of the run's log, and nothing beside it. */
import { InputError } from "../base/errors.ts";
import { DISPOSITION_REASONS, DISPOSITIONS } from "../model/disposition.ts";
import type { Disposition, FindingDisposition, PinnedNote } from "../model/disposition.ts";
import type { LogEntry } from "../model/log.ts";
import { NOTE_MAX_CHARS, type PickedReason } from "../model/reason.ts";
import type { FindingKind } from "../model/result.ts";
import { readEntriesOf } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { badValue, cleanText, requirePlace, requireReason } from "./personText.ts";
import { recordEntry, requireRun } from "./record.ts";
import { nowIso, sharedStore } from "./settings.ts";

/** `reason`: of the disposition's own. */
export interface DispositionInput extends PickedReason {
  readonly resultId: string;
  readonly findingIndex: number;
  readonly disposition: Disposition;
}

export interface NoteInput {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly text: string;
}

/** Places of notes are kept to so many decimals of a millimetre, far below any station spacing. */
const PLACE_DECIMALS = 3;

interface FindingRow { readonly kind: FindingKind; readonly layer: number; readonly strand: number | null }

function findingOf({ db }: Store, runId: string, { resultId, findingIndex }: DispositionInput): FindingRow {
  const row = db.prepare<[string, string, number], FindingRow>(
    `SELECT f.kind, f.layer, f.strand FROM "Finding" f JOIN "Result" r ON r.id = f.resultId WHERE r.runId = ? AND r.id = ? AND f.findingIndex = ?`,
  ).get(runId, resultId, findingIndex);
  if (row === undefined) throw new InputError("store.noFinding", "a finding of this run", `number ${findingIndex} of result ${JSON.stringify(resultId)}`, {});
  return row;
}

/** Writes a person's disposition to the log and seals it. InputError `store.noRun`, `store.noFinding`, `log.badValue`. */
export function disposeFinding(runId: string, input: DispositionInput, actor: string, store: Store = sharedStore()): FindingDisposition {
  const { resultId, findingIndex, disposition, reason } = input;
  requireRun(store, runId);
  if (!DISPOSITIONS.includes(disposition)) badValue("disposition", DISPOSITIONS.join(", "), JSON.stringify(disposition));
  const { note } = requireReason(DISPOSITION_REASONS[disposition], input);
  const { kind: findingKind, layer, strand } = findingOf(store, runId, input);
  const payload = { resultId, findingIndex, findingKind, layer, strand, disposition, reason, note };
  return dispositionFrom(recordEntry(store, runId, { actor, at: nowIso(), kind: "finding.disposed", payload }) as LogEntry<"finding.disposed">);
}

/** Writes a person's note to the log and seals it. InputError `store.noRun`, `log.badValue`. */
export function addNote(runId: string, { layer, strand, sMm, text }: NoteInput, actor: string, store: Store = sharedStore()): PinnedNote {
  requireRun(store, runId);
  requirePlace(store, runId, { layer, strand, sMm });
  const payload = { layer, strand, sMm: Number(sMm.toFixed(PLACE_DECIMALS)), text: cleanText(text, { key: "text", least: 1, most: NOTE_MAX_CHARS }) };
  const entry = recordEntry(store, runId, { actor, at: nowIso(), kind: "note.added", payload });
  return noteFrom(entry as LogEntry<"note.added">);
}

function dispositionFrom({ seq, at, actor, payload: { resultId, findingIndex, disposition, reason, note } }: LogEntry<"finding.disposed">): FindingDisposition {
  return { seq, at, actor, resultId, findingIndex, disposition, reason, note };
}

function noteFrom({ seq, at, actor, payload }: LogEntry<"note.added">): PinnedNote {
  return { seq, at, actor, ...payload };
}

/** Every disposition of the run in the order of the log; of several for one finding the last counts. */
export function dispositionsOf(runId: string, store: Store = sharedStore()): FindingDisposition[] {
  return readEntriesOf(store.db, runId, "finding.disposed").map(dispositionFrom);
}

/** Every note of the run in the order of the log. */
export function notesOf(runId: string, store: Store = sharedStore()): PinnedNote[] {
  return readEntriesOf(store.db, runId, "note.added").map(noteFrom);
}
