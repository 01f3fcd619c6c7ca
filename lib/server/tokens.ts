/** Device tokens: made once, shown once, kept as a hash. */
import { randomBytes } from "node:crypto";
import { InputError } from "../base/errors.ts";
import { sha256Hex } from "../log/hash.ts";
import { nameKeyOf } from "../model/person.ts";
import { findPerson } from "../store/people.ts";
import { addToken, findToken, noteTokenUse, replaceToken, revokeToken, type DeviceToken } from "../store/tokens.ts";
import { unlessDiskRefuses } from "./diskRefuses.ts";
import type { Store } from "../store/openStore.ts";

const NAME = /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/;
/** The time of last use is written at most so often, ms. */
const NOTE_EVERY_MS = 60_000;

/** The new token's text. InputError command.usage where the name is not plain or is taken. */
export function makeToken({ db }: Store, { name, device, at }: { readonly name: string; readonly device: string | null; readonly at: string }): string {
  if (!NAME.test(name)) throw new InputError("command.usage", "a name of letters, figures, dots and dashes", JSON.stringify(name), { key: "NAME" });
  if (findPerson(db, "nameKey", nameKeyOf(name)) !== null) throw new InputError("command.usage", "a name that no person has", name, { key: "NAME" });
  const token = randomBytes(32).toString("base64url");
  if (!addToken(db, { name, sha256: sha256Hex(token), device, createdAt: at })) throw new InputError("command.usage", "a name that is not taken", `${name}, which is`, { key: "NAME" });
  return token;
}

/** A token of the program's own: a new text each time, and the one before counts no more. */
export function renewToken({ db }: Store, name: string, at: string): string {
  const token = randomBytes(32).toString("base64url");
  replaceToken(db, { name, sha256: sha256Hex(token), device: null, createdAt: at });
  return token;
}

/** InputError command.usage where there is none of that name that still counts. */
export function endToken({ db }: Store, name: string, at: string): void {
  if (!revokeToken(db, name, at)) throw new InputError("command.usage", "the name of a token that counts", JSON.stringify(name), { key: "NAME" });
}

const notedMs = new Map<string, number>();

/** Whose token stands in an Authorization header. InputError wire.noToken. */
export function tokenOf({ db }: Store, authorization: string | undefined, nowMs: number): DeviceToken {
  const text = /^Bearer +([A-Za-z0-9_-]{20,200}) *$/i.exec(authorization ?? "")?.[1];
  const token = text === undefined ? null : findToken(db, sha256Hex(text));
  if (token === null) throw new InputError("wire.noToken", "Authorization: Bearer with a token that counts", authorization === undefined ? "none" : "another", {});
  if (nowMs - (notedMs.get(token.name) ?? -Infinity) > NOTE_EVERY_MS) {
    notedMs.set(token.name, nowMs);
    unlessDiskRefuses(() => noteTokenUse(db, token.name, new Date(nowMs).toISOString()));
  }
  return token;
}
