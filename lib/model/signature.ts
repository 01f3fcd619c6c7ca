/** What a reviewer's signature under a report means. */
export const MEANINGS = ["accept", "acceptWithRemarks", "reject"] as const;
export type SignatureMeaning = (typeof MEANINGS)[number];

export const MEANING_WORDS: Readonly<Record<SignatureMeaning, { readonly deed: string; readonly done: string }>> = {
  accept: { deed: "Accept", done: "accepted" },
  acceptWithRemarks: { deed: "Accept with remarks", done: "accepted with remarks" },
  reject: { deed: "Reject", done: "rejected" },
};

/** A signature as it stands in the log. */
export interface Signature {
  readonly seq: number;
  /** ISO 8601, UTC. */
  readonly at: string;
  readonly printedName: string;
  readonly meaning: SignatureMeaning;
  /** "": none. */
  readonly remarks: string;
  readonly resultId: string;
  /** The report as signed. */
  readonly reportName: string;
  readonly reportSha256: string;
  /** Of the log as the report tells of it. */
  readonly head: string;
  readonly count: number;
  readonly ownRun: boolean;
  /** Entries after it that say something new of the run: it does not cover them. */
  readonly notCovered: number;
}

/** For the title block of a result's sheets: its signatures in words, and who signed last; null: nobody. */
export interface Signed { readonly words: string; readonly last: { readonly seq: number; readonly actor: string } | null }

/** What a person sends to sign. The passphrase is theirs, again. */
export interface SignInput { readonly resultId: string; readonly meaning: SignatureMeaning; readonly remarks: string; readonly passphrase: string; /** `head` of the log that the person had before them. */ readonly head: string }
