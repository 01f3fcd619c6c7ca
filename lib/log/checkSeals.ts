import type { CheckedSeal } from "./checkLog.ts";
import { fault } from "./faults.ts";
import type { Fault } from "./faults.ts";
import type { PublicKey } from "./keys.ts";
import { isSignedBy, readSealLine } from "./seals.ts";

/** Reads the lines of seals.ndjson in order and looks at every signature. The fault is one of form or order; a forged seal shows when the log reaches it. */
export function checkSeals(lines: readonly string[], keys: readonly PublicKey[]): { readonly seals: readonly CheckedSeal[]; readonly fault: Fault | null } {
  const seals: CheckedSeal[] = [];
  for (const [index, line] of lines.entries()) {
    const seal = readSealLine(line);
    if (seal === null) return { seals, fault: fault("sealUnreadable", `seal ${index + 1} was changed: it is no seal in canonical JSON`) };
    const before = seals.at(-1)?.seal;
    if (before !== undefined && seal.count <= before.count) {
      return { seals, fault: fault("sealAdded", `seal ${index + 1} was added or moved: it covers ${seal.count} entries and stands after one over ${before.count}`) };
    }
    seals.push({ seal, isSigned: keys.some((key) => isSignedBy(seal, key)) });
  }
  return { seals, fault: null };
}
