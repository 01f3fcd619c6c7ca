import { afterEach, beforeEach, vi } from "vitest";

/** Nothing may complain on the console unseen. */
beforeEach(() => {
  vi.spyOn(console, "error").mockImplementation(() => undefined);
});

afterEach(() => {
  const { calls } = vi.mocked(console.error).mock;
  vi.restoreAllMocks();
  if (calls.length > 0) throw new Error(`console.error was called: ${calls.map((call) => call.join(" ")).join("; ")}`);
});
