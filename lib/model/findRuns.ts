/** Finding runs: what may be asked, and what came of it, as plain data. */
import type { Fact } from "./sheet.ts";

/** In the order of the form; each is a parameter of the address. */
export const FIND_FIELDS = ["text", "from", "to", "material", "lot", "device", "person", "verdict", "signed"] as const;
export type FindField = (typeof FIND_FIELDS)[number];

/** As it was typed or chosen; "": not asked. */
export type FindForm = Readonly<Record<FindField, string>>;

export const FIND_VERDICTS = ["acceptable", "notAcceptable", "nothing"] as const;
export type FindVerdict = (typeof FIND_VERDICTS)[number];

/** Asked and understood; null: not asked. Texts are looked for anywhere, large and small letters alike; device and person are whole names. */
export interface FindQuery {
  readonly text: string | null;
  /** ISO 8601, UTC, both ends included. */
  readonly fromAt: string | null;
  readonly toAt: string | null;
  readonly material: string | null;
  readonly lot: string | null;
  readonly device: string | null;
  readonly person: string | null;
  readonly verdict: FindVerdict | null;
  readonly isSigned: boolean | null;
}

/** A run that was found. */
export interface FoundLine {
  readonly runId: string;
  readonly name: string;
  /** "REHEARSAL" and the like; null: a run of a real cell. */
  readonly rehearsal: boolean;
  readonly demo: boolean;
  readonly headline: string;
  /** Specimen, material, lot, date and so on. */
  readonly facts: readonly string[];
}

export interface FindSheet {
  readonly form: FindForm;
  /** What is wrong with a field, said at it; the search is not made while there is one. */
  readonly errors: Partial<Readonly<Record<FindField, string>>>;
  readonly sentence: string;
  readonly lines: readonly FoundLine[];
  readonly foundCount: number;
  /** Address of the next page; null: this is the last. */
  readonly nextHref: string | null;
  readonly storage: StorageWords;
}

/** What the files of runs take, and for how long there is room. */
export interface StorageWords { readonly sentence: string; readonly facts: readonly Fact[] }
