/** What can be wrong with a record, and how it is said. */

export type FaultKind =
  | "entryUnreadable" | "entryChanged" | "entryMissing" | "entryAdded" | "entriesSwapped" | "chainBroken" | "chainRewritten" | "tailMissing"
  | "sealUnreadable" | "sealForged" | "sealMissing" | "sealAdded" | "keyUnsaid" | "keyDiffers" | "fileChanged" | "fileMissing" | "fileAdded";

/** The first thing that is wrong. */
export interface Fault {
  readonly kind: FaultKind;
  /** A sentence that names the entry, seal or file. */
  readonly words: string;
}

export function fault(kind: FaultKind, words: string): Fault {
  return { kind, words };
}
