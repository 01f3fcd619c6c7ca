/** What a command may touch of the terminal: results go to `out`, everything else to `err`. */
export interface Io {
  /** Writes text as it is (no newline added) to stdout; resolves once the pipe has taken it, so that a long result stays bounded in memory. */
  readonly out: (text: string) => Promise<void>;
  /** Writes one line to stderr. */
  readonly err: (line: string) => void;
  /** Milliseconds on a monotonic clock, for progress. */
  readonly nowMs: () => number;
}
