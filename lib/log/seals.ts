/** Seals: a signature over how long a log is and what its last entry is. Who has no key cannot make one. */
import { verify } from "node:crypto";
import type { Seal } from "../model/log.ts";
import { canonicalJson } from "./canonical.ts";
import type { LogHead } from "./entries.ts";
import type { PublicKey, SigningKey } from "./keys.ts";

const SIGNATURE = /^[A-Za-z0-9+/]{86}==$/;
const HEX_64 = /^[0-9a-f]{64}$/;

/** Seals the log of `runId` as far as `head`. */
export function makeSeal(runId: string, head: LogHead, { key, at }: { readonly key: SigningKey; readonly at: string }): Seal {
  const unsigned = { at, count: head.seq, head: head.hash, keyId: key.keyId, runId };
  return { ...unsigned, signature: Buffer.from(key.sign(canonicalJson(unsigned))).toString("base64") };
}

/** The seal's line of seals.ndjson, without its line feed. */
export function sealLine(seal: Seal): string {
  return canonicalJson(seal);
}

/** Whether the key made this seal. */
export function isSignedBy({ signature, ...unsigned }: Seal, { key, keyId }: PublicKey): boolean {
  return unsigned.keyId === keyId && verify(null, Buffer.from(canonicalJson(unsigned)), key, Buffer.from(signature, "base64"));
}

/** A line of seals.ndjson; null where it is none in canonical form. */
export function readSealLine(line: string): Seal | null {
  let seal: Partial<Seal> | null;
  try {
    seal = JSON.parse(line) as Partial<Seal> | null;
    if (typeof seal !== "object" || seal === null || canonicalJson(seal) !== line) return null;
  } catch {
    return null;
  }
  const { at, count, head, keyId, runId, signature } = seal;
  const isSeal = Object.keys(seal).length === 6 && typeof at === "string" && typeof runId === "string" && Number.isSafeInteger(count) && (count as number) > 0
    && [head, keyId].every((hex) => typeof hex === "string" && HEX_64.test(hex)) && typeof signature === "string" && SIGNATURE.test(signature);
  return isSeal ? (seal as Seal) : null;
}
