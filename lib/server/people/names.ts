/** Names that a person may bear: one name, one person, in every log for good. */
import { InputError } from "../../base/errors.ts";
import { isPortableText } from "../../log/portable.ts";
import { COMMAND_ACTOR, PROGRAM_ACTOR, SCREEN_ACTOR } from "../../model/log.ts";
import { NAME_MAX_CHARS, nameKeyOf } from "../../model/person.ts";
import type { Store } from "../../store/openStore.ts";
import { findPerson, listLinks } from "../../store/people.ts";
import { listTokens } from "../../store/tokens.ts";

/** Whether a name stands in logs for the program, a command or a screen. */
function isReserved(nameKey: string): boolean {
  return [PROGRAM_ACTOR, COMMAND_ACTOR, SCREEN_ACTOR].includes(nameKey) || new RegExp(`(^|\\bat )${SCREEN_ACTOR}\\b`).test(nameKey);
}

/** The name as it will stand in logs: trimmed, single spaces, one form of each character. InputError people.badValue. */
export function cleanName(name: string): string {
  const clean = name.normalize("NFC").replace(/\s+/gu, " ").trim(), bad = (expected: string, got: string): never => { throw new InputError("people.badValue", expected, got, { key: "name" }); };
  if (clean.length < 1 || clean.length > NAME_MAX_CHARS) bad(`1 to ${NAME_MAX_CHARS} characters`, String(clean.length));
  if (/[\p{Cc}\p{Cf}\p{Co}\p{Cn}]/u.test(clean) || !isPortableText(clean) || !/[\p{L}\p{N}]/u.test(clean)) bad("a name of letters that can be seen", "one with others");
  return isReserved(nameKeyOf(clean)) ? bad("a name that stands for nothing else in logs", JSON.stringify(clean)) : clean;
}

/** A name that nobody has, retired, invited or as a device. InputError people.badValue, people.taken. */
export function requireFreeName({ db }: Store, name: string, nowIso: string): string {
  const clean = cleanName(name), key = nameKeyOf(clean);
  const isTaken = findPerson(db, "nameKey", key) !== null || listLinks(db, nowIso).some((link) => link.nameKey === key) || listTokens(db).some((token) => nameKeyOf(token.name) === key);
  if (isTaken) throw new InputError("people.taken", "a name that nobody has", JSON.stringify(clean), { key: "name" });
  return clean;
}
