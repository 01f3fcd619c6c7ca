import { createHash } from "node:crypto";

/** SHA-256 (FIPS 180-4), lower-case hex; text is taken as UTF-8. */
export function sha256Hex(data: string | Uint8Array): string {
  return createHash("sha256").update(data).digest("hex");
}
