/** What a person types into a form, as it may stand in the log. */
import { InputError } from "../base/errors.ts";
import { isPortableText } from "../log/portable.ts";
import { NOTE_MAX_CHARS, OTHER_REASON, type PickedReason, type Reason } from "../model/reason.ts";
import type { Store } from "../store/openStore.ts";

// oxlint-disable-next-line no-control-regex -- control characters are what is refused
const CONTROL = /[\u0000-\u0008\u000b-\u001f\u007f]/;

/** InputError `log.badValue` at a field. */
export function badValue(key: string, expected: string, got: string): never {
  throw new InputError("log.badValue", expected, got, { key });
}

/** Trimmed text with line feeds alone; what everybody prints alike. InputError `log.badValue`. */
export function cleanText(text: string, { key, least, most }: { readonly key: string; readonly least: number; readonly most: number }): string {
  const clean = text.replace(/\r\n?/g, "\n").trim();
  if (clean.length < least || clean.length > most) badValue(key, `${least} to ${most} characters`, `${clean.length}`);
  return CONTROL.test(clean) || !isPortableText(clean) ? badValue(key, "text without control characters", "one with them") : clean;
}

/** The reason that was picked, its note cleaned; where none of the list fits the note is needed. InputError `log.badValue`. */
export function requireReason(reasons: readonly Reason[], { reason, note }: PickedReason): Reason & Pick<PickedReason, "note"> {
  const picked = reasons.find(({ code }) => code === reason) ?? badValue("reason", reasons.map(({ code }) => code).join(", "), JSON.stringify(reason));
  return { ...picked, note: cleanText(note, { key: "note", least: reason === OTHER_REASON ? 1 : 0, most: NOTE_MAX_CHARS }) };
}

/** A picked reason as one text: what people read of it, with the note, or the note alone where none of the list fits. InputError `log.badValue`. */
export function reasonText(reasons: readonly Reason[], from: PickedReason): string {
  const { code, label, note } = requireReason(reasons, from);
  return code === OTHER_REASON ? note : note === "" ? label : `${label}: ${note}`;
}

/** A place may lie beyond the end of a strand by so much, mm: the contract's own tolerance for arc lengths. */
const BEYOND_END_MM = 1e-3;

/** Length of the strand that a place lies on, mm. InputError `log.badValue` where it lies on none of this run. */
export function requirePlace({ db }: Pick<Store, "db">, runId: string, { layer, strand, sMm }: { readonly layer: number; readonly strand: number; readonly sMm: number }): number {
  const at = db.prepare<[string, number, number], { lengthMm: number }>(`SELECT lengthMm FROM "Strand" WHERE runId = ? AND layer = ? AND strand = ?`).get(runId, layer, strand);
  if (at === undefined) return badValue("strand", "a strand of this run's plan", `layer ${layer}, strand ${strand}`);
  return sMm >= 0 && sMm <= at.lengthMm + BEYOND_END_MM ? at.lengthMm : badValue("sMm", `0 to ${at.lengthMm} mm`, `${sMm}`);
}
