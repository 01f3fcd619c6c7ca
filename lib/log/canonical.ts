/** The one way in which JSON is written where its bytes are hashed or signed. */
import canonicalize from "canonicalize";

/**
 * Canonical JSON (RFC 8785). RangeError for what JSON cannot say: NaN, Infinity, a lone surrogate, a circle; TypeError for undefined,
 * functions and BigInt.
 */
export function canonicalJson(value: unknown): string {
  let text: string | undefined;
  try {
    text = canonicalize(value);
  } catch (cause) {
    if (cause instanceof TypeError) throw cause;
    throw new RangeError(`no canonical JSON: ${(cause as Error).message}`, { cause });
  }
  if (text === undefined) throw new TypeError(`no canonical JSON: ${typeof value}`);
  return text;
}
