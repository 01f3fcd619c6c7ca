/** How long somebody who has failed has to wait: a rule on counts, in memory and bounded, its clock passed in. */
import { InputError } from "../../base/errors.ts";

export interface DelayRule {
  /** So many failures cost nothing. */
  readonly freeCount: number;
  /** The first wait, doubled with each failure, up to the longest, ms. */
  readonly firstMs: number;
  readonly longestMs: number;
  /** Failures are forgotten when none has come for so long, ms. */
  readonly forgetMs: number;
}

/**
 * Of one name: at the longest wait 1 440 tries a day, far under 2^20 in a lifetime, and nobody is shut out for longer than a minute by somebody who
 * guesses at their name. Of one address, behind which many people may sit: more is free, and the wait grows further. Common practice, no source.
 */
export const NAME_RULE: DelayRule = { freeCount: 3, firstMs: 1000, longestMs: 60_000, forgetMs: 3_600_000 };
export const ADDRESS_RULE: DelayRule = { freeCount: 20, firstMs: 1000, longestMs: 300_000, forgetMs: 3_600_000 };
/** Names, and addresses, that are counted at once; the one that failed longest ago is forgotten first. */
const MOST_KEYS = 10_000;

/** Thrown where somebody has to wait; `retryAfterS` goes out as Retry-After. */
export class WaitError extends InputError {
  constructor(readonly retryAfterS: number) {
    super("people.wait", "another try later", `one that has to wait ${retryAfterS} s`, {});
  }
}

/** How long after its newest failure a key waits that has failed so often, ms. */
export function waitMs(failureCount: number, { freeCount, firstMs, longestMs }: DelayRule): number {
  return failureCount <= freeCount ? 0 : Math.min(longestMs, firstMs * 2 ** Math.min(failureCount - freeCount - 1, 40));
}

interface Failures { readonly count: number; readonly atMs: number }

export class Delays {
  private readonly failures = new Map<string, Failures>(); // in the order of their newest failure

  constructor(private readonly rule: DelayRule, private readonly mostKeys = MOST_KEYS) {}

  /** ms until this key may try again; 0: now. */
  leftMs(key: string, nowMs: number): number {
    const { count, atMs } = this.known(key, nowMs);
    return Math.max(0, atMs + waitMs(count, this.rule) - nowMs);
  }

  /** A try counts as failed from its beginning, so that many at once are no way around. */
  fail(key: string, nowMs: number): void {
    const { count } = this.known(key, nowMs);
    this.failures.delete(key);
    this.failures.set(key, { count: count + 1, atMs: nowMs });
    for (const oldest of this.failures.keys()) {
      if (this.failures.size <= this.mostKeys) break;
      this.failures.delete(oldest);
    }
  }

  /** It was right after all. `to`: how many failures are left to stand. */
  forgive(key: string, to: "none" | "oneLess"): void {
    const known = this.failures.get(key);
    if (known === undefined) return;
    if (to === "none" || known.count <= 1) this.failures.delete(key);
    else this.failures.set(key, { ...known, count: known.count - 1 });
  }

  get size(): number {
    return this.failures.size;
  }

  private known(key: string, nowMs: number): Failures {
    const known = this.failures.get(key);
    return known === undefined || nowMs - known.atMs >= this.rule.forgetMs ? { count: 0, atMs: 0 } : known;
  }
}
