import { describe, expect, it } from "vitest";
import { Heard } from "../../../lib/server/live/heard.ts";
import type { KeptState } from "../../../lib/server/live/keeper.ts";

const kept = (profilers: Readonly<Record<string, number>>, progressS = Number.NaN, cameras: Readonly<Record<string, number>> = {}): KeptState => {
  const none = { profile: Number.NaN, progress: progressS, rework: Number.NaN, pasteMark: Number.NaN, pose: Number.NaN, signal: Number.NaN, frame: Number.NaN };
  return { bytes: 900, counts: { profile: 3, progress: 2, rework: 0, pasteMark: 0, pose: 0, signal: 0, frame: 0 }, lastS: none, profilerS: new Map(Object.entries(profilers)), cameraS: new Map(Object.entries(cameras)) };
};

describe("when a device was last heard", () => {
  it("is when its stamp last changed, by the server's clock, of each device alone", () => {
    const heard = new Heard();
    heard.take(kept({ "profiler-1": 3, "profiler-2": 4 }), 1000);
    heard.take(kept({ "profiler-1": 3, "profiler-2": 4.5 }), 1700);
    expect([...heard.profilers]).toEqual([["profiler-1", { atMs: 1000, tS: 3 }], ["profiler-2", { atMs: 1700, tS: 4.5 }]]);
  });

  it("a stamp that goes back is heard too", () => {
    const heard = new Heard();
    heard.take(kept({ "profiler-1": 30 }), 1000);
    heard.take(kept({ "profiler-1": 2 }), 1200);
    expect(heard.profilers.get("profiler-1")).toEqual({ atMs: 1200, tS: 2 });
  });

  it("of progress is null until some has come, and of what is kept again stays as it was", () => {
    const heard = new Heard();
    heard.take(kept({ "profiler-1": 3 }), 1000);
    expect(heard.progress).toBeNull();
    heard.take(kept({}, 7.25), 1300);
    heard.take(kept({}, 7.25), 1900);
    expect(heard.progress).toEqual({ atMs: 1300, tS: 7.25 });
  });
});

describe("a camera", () => {
  it("is heard with its newest five gaps, by the server's clock; the same stamp again is no frame", () => {
    const heard = new Heard();
    [0, 100, 350, 350, 600, 1000, 1300, 1550].forEach((atMs, i) => heard.take(kept({}, Number.NaN, { "camera-1": i === 3 ? 2 : i }), 5000 + atMs));
    expect(heard.cameras.get("camera-1")).toEqual({ atMs: 6550, tS: 7, gapsS: [0.25, 0.25, 0.4, 0.3, 0.25] });
  });
});

describe("when the cell last asked for commands", () => {
  it("is never, then now for as long as it waits for an answer, then when that ended", () => {
    const heard = new Heard();
    expect(heard.lastPollMs(500)).toBeNaN();
    const end = heard.polls(() => 2600);
    expect([heard.lastPollMs(600), heard.lastPollMs(2500)]).toEqual([600, 2500]);
    end();
    expect(heard.lastPollMs(9000)).toBe(2600);
  });

  it("of two that ask at once the last to end counts", () => {
    const heard = new Heard(), first = heard.polls(() => 700), second = heard.polls(() => 1900);
    first();
    expect(heard.lastPollMs(1500)).toBe(1500);
    second();
    expect(heard.lastPollMs(5000)).toBe(1900);
  });
});
