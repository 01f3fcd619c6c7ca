import { afterEach, beforeEach, expect, vi } from "vitest";

/** Nothing may complain on the console unseen. */
beforeEach(() => {
  vi.spyOn(console, "error").mockImplementation(() => undefined);
});

afterEach(() => {
  expect(vi.mocked(console.error).mock.calls, "console.error was called").toEqual([]);
  vi.restoreAllMocks();
});
