import { expect, it } from "vitest";
import { follows } from "../../app/runs/[id]/live/liveState.ts";

it("an event follows another of the same life with the next number, and nothing else does", () => {
  expect(follows("mwwf-41", "mwwf-42")).toBe(true);
  expect([follows("mwwf-41", "mwwf-43"), follows("mwwf-41", "mwwf-41"), follows("mwwf-41", "xwwf-42"), follows("mwwf-41", ""), follows("", "mwwf-1")]).toEqual([false, false, false, false, false]);
});
