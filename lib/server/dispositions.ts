/** What people decide about findings and note at places: entries of the run's log, and nothing beside it. */
import { InputError } from "../base/errors.ts";
import { isPortableText } from "../log/portable.ts";
import { DISPOSITION_REASONS, DISPOSITIONS, NOTE_MAX_CHARS } from "../model/disposition.ts";
import type { Disposition, FindingDisposition, PinnedNote } from "../model/disposition.ts";
import type { LogEntry } from "../model/log.ts";
import type { FindingKind } from "../model/result.ts";
import { readEntriesOf } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { recordEntry, requireRun } from "./record.ts";
import { nowIso, sharedStore } from "./settings.ts";

export interface DispositionInput {
  readonly resultId: string;
  readonly findingIndex: number;
  readonly disposition: Disposition;
  /** Code from the disposition's reasons; `other` asks for a note. */
  readonly reason: string;
  /** "": none. */
  readonly note: string;
  readonly actor: string;
}

export interface NoteInput {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly text: string;
  readonly actor: string;
}

/** A place may lie beyond the end of a strand by so much, mm: the contract's own tolerance for arc lengths. */
const BEYOND_END_MM = 1e-3;
/** Places of notes are kept to so many decimals of a millimetre, far below any station spacing. */
const PLACE_DECIMALS = 3;
const ACTOR_MAX_CHARS = 200;
// oxlint-disable-next-line no-control-regex -- control characters are what is refused
const CONTROL = /[\u0000-\u0008\u000b-\u001f\u007f]/;

function badValue(key: string, expected: string, got: string): never {
  throw new InputError("log.badValue", expected, got, { key });
}

/** Trimmed text with line feeds alone; what everybody prints alike. */
function cleanText(text: string, { key, least, most }: { readonly key: string; readonly least: number; readonly most: number }): string {
  const clean = text.replace(/\r\n?/g, "\n").trim();
  if (clean.length < least || clean.length > most) badValue(key, `${least} to ${most} characters`, `${clean.length}`);
  return CONTROL.test(clean) || !isPortableText(clean) ? badValue(key, "text without control characters", "one with them") : clean;
}

interface FindingRow { readonly kind: FindingKind; readonly layer: number; readonly strand: number | null }

function findingOf({ db }: Store, runId: string, { resultId, findingIndex }: DispositionInput): FindingRow {
  const row = db.prepare<[string, string, number], FindingRow>(
    `SELECT f.kind, f.layer, f.strand FROM "Finding" f JOIN "Result" r ON r.id = f.resultId WHERE r.runId = ? AND r.id = ? AND f.findingIndex = ?`,
  ).get(runId, resultId, findingIndex);
  if (row === undefined) throw new InputError("store.noFinding", "a finding of this run", `number ${findingIndex} of result ${JSON.stringify(resultId)}`, {});
  return row;
}

/** Writes a disposition to the log and seals it. InputError `store.noRun`, `store.noFinding`, `log.badValue`. */
export function disposeFinding(runId: string, input: DispositionInput, store: Store = sharedStore()): FindingDisposition {
  const { resultId, findingIndex, disposition, reason } = input;
  requireRun(store, runId);
  if (!DISPOSITIONS.includes(disposition)) badValue("disposition", DISPOSITIONS.join(", "), JSON.stringify(disposition));
  const codes = DISPOSITION_REASONS[disposition].map(({ code }) => code);
  if (!codes.includes(reason)) badValue("reason", codes.join(", "), JSON.stringify(reason));
  const note = cleanText(input.note, { key: "note", least: reason === "other" ? 1 : 0, most: NOTE_MAX_CHARS });
  const actor = cleanText(input.actor, { key: "actor", least: 1, most: ACTOR_MAX_CHARS });
  const { kind: findingKind, layer, strand } = findingOf(store, runId, input);
  const payload = { resultId, findingIndex, findingKind, layer, strand, disposition, reason, note };
  return dispositionFrom(recordEntry(store, runId, { actor, at: nowIso(), kind: "finding.disposed", payload }) as LogEntry<"finding.disposed">);
}

/** Writes a note to the log and seals it. InputError `store.noRun`, `log.badValue`. */
export function addNote(runId: string, { layer, strand, sMm, text, actor }: NoteInput, store: Store = sharedStore()): PinnedNote {
  requireRun(store, runId);
  const at = store.db.prepare<[string, number, number], { lengthMm: number }>(`SELECT lengthMm FROM "Strand" WHERE runId = ? AND layer = ? AND strand = ?`).get(runId, layer, strand);
  if (at === undefined) return badValue("strand", "a strand of this run's plan", `layer ${layer}, strand ${strand}`);
  if (!(sMm >= 0 && sMm <= at.lengthMm + BEYOND_END_MM)) badValue("sMm", `0 to ${at.lengthMm} mm`, `${sMm}`);
  const payload = { layer, strand, sMm: Number(sMm.toFixed(PLACE_DECIMALS)), text: cleanText(text, { key: "text", least: 1, most: NOTE_MAX_CHARS }) };
  const entry = recordEntry(store, runId, { actor: cleanText(actor, { key: "actor", least: 1, most: ACTOR_MAX_CHARS }), at: nowIso(), kind: "note.added", payload });
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
