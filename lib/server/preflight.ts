/** What was known before the print, as a run's page shows it. */
import type { PreflightSheet } from "../model/preflight.ts";
import type { SupportSheet } from "../model/supportFound.ts";
import { preflightSheet, supportSheet } from "../report/preflightWords.ts";
import { readPreflight } from "../store/preflight.ts";
import { sharedStore } from "./settings.ts";

export interface BeforeSheet {
  readonly preflight: PreflightSheet;
  /** null: layer 1 was never begun. */
  readonly support: SupportSheet | null;
}

/** null: a result from before these were kept. */
export function readBeforeSheet(resultId: string): BeforeSheet | null {
  const before = readPreflight(sharedStore().db, resultId);
  return before === null ? null : { preflight: preflightSheet(before.preflight), support: before.support === null ? null : supportSheet(before.support) };
}
