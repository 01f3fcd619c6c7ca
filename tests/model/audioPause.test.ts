import { describe, expect, it } from "vitest";
import { AUDIO_PAUSE_S, keepPause } from "../../lib/model/audioPause.ts";

const pause = { kind: "medium", newest: 7, endsAtS: 331 } as const;

describe("the audio pause", () => {
  it("lasts 120 s", () => expect(AUDIO_PAUSE_S).toBe(120));

  it.each([[330.9, true], [331, false], [331.1, false]])("that ends at 331 s stands at %d s: %s", (atS, stands) => {
    expect(keepPause(pause, { kind: "medium", newest: 7, atS }) === pause).toBe(stands);
  });

  it("is over with alert 8, not with alert 7 and not where the newest one has left the list", () => {
    expect(keepPause(pause, { kind: "medium", newest: 8, atS: 250 })).toBeNull();
    expect(keepPause(pause, { kind: "medium", newest: 7, atS: 251 })).toBe(pause);
    expect(keepPause(pause, { kind: "medium", newest: 5, atS: 252 })).toBe(pause);
  });

  it("of a medium alert is over with a high one and with a lost server, not with a low one", () => {
    expect(keepPause(pause, { kind: "high", newest: 7, atS: 240 })).toBeNull();
    expect(keepPause(pause, { kind: "lost", newest: 6, atS: 241 })).toBeNull();
    expect(keepPause(pause, { kind: "low", newest: 7, atS: 242 })).toEqual({ kind: "low", newest: 7, endsAtS: 331 });
  });

  it("is over when what had become low is medium again, or sounds again after nothing did", () => {
    const low = keepPause(pause, { kind: "low", newest: 7, atS: 260 }), none = keepPause(pause, { kind: null, newest: 7, atS: 261 });
    if (low === null || none === null) throw new Error("the pause is over too early");
    expect(keepPause(low, { kind: "medium", newest: 7, atS: 270 })).toBeNull();
    expect(keepPause(none, { kind: "low", newest: 7, atS: 271 })).toBeNull();
    expect(keepPause(none, { kind: null, newest: 7, atS: 272 })).toBe(none);
  });
});
