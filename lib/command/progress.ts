import type { Io } from "./io.ts";

/** Silence for so long before the first line and between lines, ms. */
const EVERY_MS = 1000;

/**
 * A reporter that writes at most one line a second to stderr, and none for work that is over within a second.
 * Call it as often as you like; `words` is made only when a line is due.
 */
export function reportProgress(io: Io): (words: () => string) => void {
  let lastMs = io.nowMs();
  return (words) => {
    const nowMs = io.nowMs();
    if (nowMs - lastMs < EVERY_MS) return;
    lastMs = nowMs;
    io.err(words());
  };
}
