/** What the process of a recompute is told, and tells. */
import type { RecomputeAsk } from "../../model/recompute.ts";
import type { PlainError } from "../live/threadMessages.ts";

export interface RecomputeCall extends RecomputeAsk { readonly runId: string; readonly actor: string }

export type RecomputeTelling =
  | { readonly kind: "measured"; readonly messageCount: number; readonly untilS: number }
  | { readonly kind: "done"; readonly resultId: string }
  | { readonly kind: "failed"; readonly error: PlainError };

/** Measures again and tells how far it is. Rejects as `recomputeRun` does, and with the signal's reason. */
export type Recomputer = (call: RecomputeCall, options: { readonly signal: AbortSignal; readonly heard: (messageCount: number, untilS: number) => void }) => Promise<string>;
