/**
 * UUID version 7 (RFC 9562, section 5.7): 48 bits of Unix milliseconds, then 74 random bits. Sorts by time as text.
 * `random` holds at least 10 bytes. RangeError for a time outside 48 bits.
 */
export function uuidV7(unixMs: number, random: Uint8Array): string {
  if (!(Number.isInteger(unixMs) && unixMs >= 0 && unixMs < 2 ** 48)) throw new RangeError(`a UUIDv7 needs whole milliseconds below 2^48, got ${unixMs}`);
  if (random.length < 10) throw new RangeError(`a UUIDv7 needs 10 random bytes, got ${random.length}`);
  const bytes = new Uint8Array(16);
  for (let i = 0; i < 6; i++) bytes[i] = Math.floor(unixMs / 2 ** (8 * (5 - i))) % 256;
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = ((bytes[6] as number) & 0x0f) | 0x70;
  bytes[8] = ((bytes[8] as number) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
