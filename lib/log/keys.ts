/** Ed25519 keys (RFC 8032): the private one seals, the public one goes with every export. */
import { createPrivateKey, createPublicKey, sign } from "node:crypto";
import type { KeyObject } from "node:crypto";
import { InputError } from "../base/errors.ts";
import { sha256Hex } from "./hash.ts";

export interface SigningKey {
  readonly keyId: string;
  /** SubjectPublicKeyInfo, PEM. */
  readonly publicKeyPem: string;
  /** 64 bytes. */
  readonly sign: (message: string) => Uint8Array;
}

export interface PublicKey { readonly keyId: string; readonly key: KeyObject }

/** SHA-256, hex, of the SubjectPublicKeyInfo's DER. */
function keyIdOf(key: KeyObject): string {
  return sha256Hex(key.export({ type: "spki", format: "der" }));
}

function refuse(file: string, got: string, cause?: unknown): never {
  throw new InputError("log.badKey", "an Ed25519 key in PEM, without a password", got, { file }, cause);
}

/** InputError `log.badKey` where the text of `file` is no private Ed25519 key. */
export function readSigningKey(pem: string, file: string): SigningKey {
  let key: KeyObject;
  try {
    key = createPrivateKey(pem);
  } catch (cause) {
    return refuse(file, "none that can be read", cause);
  }
  if (key.asymmetricKeyType !== "ed25519") refuse(file, `one of type ${key.asymmetricKeyType ?? "unknown"}`);
  const publicKey = createPublicKey(key);
  return {
    keyId: keyIdOf(publicKey), publicKeyPem: publicKey.export({ type: "spki", format: "pem" }).toString(),
    sign: (message) => sign(null, Buffer.from(message), key),
  };
}

const PUBLIC_BLOCK = /-----BEGIN PUBLIC KEY-----[\s\S]*?-----END PUBLIC KEY-----/g;

/**
 * The public keys of a PEM text, in its order: the first is the one of the last seal, the others belong to seals from before the key was
 * changed. InputError `log.badKey` where one is no Ed25519 key or there is none.
 */
export function readPublicKeys(pem: string, file: string): PublicKey[] {
  const blocks = pem.match(PUBLIC_BLOCK) ?? refuse(file, "no public key");
  return blocks.map((block) => {
    let key: KeyObject;
    try {
      key = createPublicKey(block);
    } catch (cause) {
      return refuse(file, "none that can be read", cause);
    }
    return key.asymmetricKeyType === "ed25519" ? { keyId: keyIdOf(key), key } : refuse(file, `one of type ${key.asymmetricKeyType ?? "unknown"}`);
  });
}
