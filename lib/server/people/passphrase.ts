/**
 * Passphrases are kept as argon2id. Memory, passes and lanes: OWASP Password Storage Cheat Sheet, its least setting (19 MiB, t = 2, p = 1). What is
 * asked of one: NIST SP 800-63B-4, 3.1.1.2 (from memory): at least 15 characters where it stands alone, any character, none asked for, the plainest refused.
 */
import { hash, verify } from "@node-rs/argon2";
import { InputError } from "../../base/errors.ts";
import { nameKeyOf, PASSPHRASE_CHARS } from "../../model/person.ts";
import { WaitError } from "./delays.ts";

/** memoryCost in KiB. Algorithm 2 is argon2id. */
export const ARGON = { algorithm: 2, memoryCost: 19 * 1024, timeCost: 2, parallelism: 1, outputLen: 32 } as const;
/** Hash of nothing that anybody knows, made with the same settings: an unknown name costs the same time. */
export const NOBODYS_HASH = "$argon2id$v=19$m=19456,t=2,p=1$yd3jIoHS8NDmgCsTrveE6g$LI+Sw4CoCkZ9M2TCTtzx73TNcsy/TF75RDiShzB1BTE";
/** Each needs 19 MiB and a thread of few: the next one is asked to come again. */
const MOST_AT_ONCE = 4;

let atOnce = 0;

async function inTurn<T>(work: () => Promise<T>): Promise<T> {
  if (atOnce >= MOST_AT_ONCE) throw new WaitError(1);
  atOnce++;
  try {
    return await work();
  } finally {
    atOnce--;
  }
}

/** One form of each character (Unicode NFKC), so that another keyboard gives the same bytes. */
const formOf = (passphrase: string): string => passphrase.normalize("NFKC");

/** PHC text with a salt of its own. Refuses none: `requirePassphrase` does. InputError people.wait. */
export function hashPassphrase(passphrase: string): Promise<string> {
  return inTurn(() => hash(formOf(passphrase), ARGON));
}

/** Whether the passphrase is the one of this hash, compared in constant time (the package's `verify`); null: there is none, at the same cost, and false. InputError people.wait. */
export async function isPassphrase(passphrase: string, hashed: string | null): Promise<boolean> {
  const matches = await inTurn(() => verify(hashed ?? NOBODYS_HASH, formOf(passphrase)));
  return matches && hashed !== null;
}

/** Words that are tried first. */
const PLAIN = ["passphrase", "password", "aslaid", "qwertyuiop", "asdfghjkl", "letmein", "abcdefghijklmnopqrstuvwxyz", "012345", "12345", "6789"];

/** What is left of a text without the plainest words, its owner's name, and runs of one character. */
function restOf(passphrase: string, name: string): string {
  const words = [nameKeyOf(name), ...nameKeyOf(name).split(" "), ...PLAIN].filter((word) => word.length > 2);
  return words.reduce((rest, word) => rest.replaceAll(word, ""), nameKeyOf(passphrase)).replaceAll(/(.)\1+/gu, "$1").replaceAll(/\s/gu, "");
}

/** Different characters that have to be left. */
const LEAST_REST = 5;

/** InputError people.badValue: too short, too long, or one that would be tried first. */
export function requirePassphrase(passphrase: string, name: string): void {
  const { least, most } = PASSPHRASE_CHARS, count = Array.from(formOf(passphrase)).length;
  const bad = (expected: string, got: string): never => { throw new InputError("people.badValue", expected, got, { key: "passphrase" }); };
  if (count < least || count > most) bad(`${least} to ${most} characters`, String(count));
  if (new Set(restOf(passphrase, name)).size < LEAST_REST) bad("words that nobody would try first", "hardly more than a name, a plain word or one character again and again");
}
