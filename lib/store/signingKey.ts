import { generateKeyPairSync } from "node:crypto";
import { closeSync, fsyncSync, linkSync, openSync, readFileSync, rmSync, writeSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { readSigningKey } from "../log/keys.ts";
import type { SigningKey } from "../log/keys.ts";

/** The key in the data folder, for whoever has none of his own. */
export const KEY_FILE = "signing-key.pem";

export interface KeySettings {
  readonly dataFolder: string;
  /** A key file of one's own; null: the one in the data folder, which is made where it is missing. */
  readonly ownKeyFile: string | null;
  readonly newId: () => string;
}

/** The key that seals. InputError `log.badKey` where the file is missing, cannot be read or is no Ed25519 key. */
export function loadSigningKey({ dataFolder, ownKeyFile, newId }: KeySettings): SigningKey {
  if (ownKeyFile !== null) return readKey(ownKeyFile);
  const file = join(dataFolder, KEY_FILE);
  try {
    return readKey(file);
  } catch (error) {
    if (!(error instanceof InputError && isAbsent(error.cause))) throw error;
  }
  makeKey(file, `${file}.${newId()}`);
  return readKey(file);
}

function isAbsent(cause: unknown): boolean {
  return cause instanceof Error && "code" in cause && cause.code === "ENOENT";
}

function readKey(file: string): SigningKey {
  let pem: string;
  try {
    pem = readFileSync(file, "utf8");
  } catch (cause) {
    throw new InputError("log.badKey", "an Ed25519 key in PEM, without a password", `none that can be read (${(cause as NodeJS.ErrnoException).code})`, { file }, cause);
  }
  return readSigningKey(pem, file);
}

/** Written whole beside its place and then linked there: of two starts at once the first one's key stands, and nobody reads half a key. */
function makeKey(file: string, partial: string): void {
  const { privateKey } = generateKeyPairSync("ed25519", { privateKeyEncoding: { type: "pkcs8", format: "pem" }, publicKeyEncoding: { type: "spki", format: "pem" } });
  const handle = openSync(partial, "wx", 0o600);
  try {
    writeSync(handle, privateKey);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  try {
    linkSync(partial, file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error;
  } finally {
    rmSync(partial);
  }
}
