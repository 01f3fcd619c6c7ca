/**
 * What an entry may hold so that other programs print its canonical form byte for byte: `jq -cS` differs from RFC 8785 in the order of
 * keys beyond U+FFFF, in numbers with an exponent, and in U+007F, which it escapes (seen with jq 1.6). Such values are kept out of the log.
 */

/** Plain decimals alone: below and above, jq or RFC 8785 writes an exponent. */
const LEAST_ABS = 1e-4, MOST_ABS = 1e15;

/** Text that every writer of JSON prints alike: whole Unicode characters without U+007F. */
export function isPortableText(text: string): boolean {
  return !/\p{Surrogate}/u.test(text) && !text.includes("\u007f");
}

/** The text with U+FFFD in place of what not everybody prints alike; for what came in and stands elsewhere as it is. */
export function portableText(text: string): string {
  return text.replace(/\p{Surrogate}|\u007f/gu, "\ufffd");
}

function isPortableNumber(value: number): boolean {
  return value === 0 || (Math.abs(value) >= LEAST_ABS && Math.abs(value) < MOST_ABS);
}

/** RangeError that names the place in `value` where something could be printed in two ways. */
export function requirePortable(value: unknown, at = "payload"): void {
  if (typeof value === "number" && !isPortableNumber(value)) throw new RangeError(`${at}: ${value} is written with an exponent or not at all`);
  if (typeof value === "string" && !isPortableText(value)) throw new RangeError(`${at}: a lone surrogate or U+007F`);
  if (typeof value !== "object" || value === null) return;
  for (const [key, inner] of Object.entries(value)) {
    if (!/^[\x20-\x7e]*$/.test(key)) throw new RangeError(`${at}: the key ${JSON.stringify(key)} is not plain ASCII`);
    requirePortable(inner, `${at}.${key}`);
  }
}
