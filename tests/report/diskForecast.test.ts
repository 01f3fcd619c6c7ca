import { describe, expect, it } from "vitest";
import { diskForecast } from "../../lib/report/diskForecast.ts";

describe("room on the disk", () => {
  it("240.1 s of 640 and 1 280 points: 120 050 profiles each of 2 648 and 5 208 bytes, 943 MB", () => {
    const { bytes, sentence, assumption } = diskForecast({ profilerPoints: [640, 1280], layingTimeS: 240.1, freeBytes: 51e9 });
    expect(bytes).toBe(120_050 * (640 * 4 + 88) + 120_050 * (1280 * 4 + 88));
    expect(sentence).toBe("About 943 MB of profiles are expected, and as much again for a while at the run’s end; 51.0 GB are free.");
    expect(assumption).toBe("Assumed: 500 profiles a second over 241 s of laying alone, 640 and 1\u2009280 points of 4 bytes and 88 more each. Moves between strands, poses, signals and frames come on top.");
  });

  it("twice what is expected must be free: exactly that is enough, a byte less is not", () => {
    const need = { profilerPoints: [100], layingTimeS: 2 }, bytes = 1000 * 488;
    expect(diskForecast({ ...need, freeBytes: 2 * bytes })).toMatchObject({ bytes, peakBytes: 2 * bytes, isEnough: true });
    const short = diskForecast({ ...need, freeBytes: 2 * bytes - 1 });
    expect(short.isEnough).toBe(false);
    expect(short.sentence).toMatch(/976 kB are free: that is not enough\.$/);
  });

  it("a job without a profiler expects nothing", () => {
    expect(diskForecast({ profilerPoints: [], layingTimeS: 31, freeBytes: 7e6 })).toMatchObject({ bytes: 0, isEnough: true, sentence: "The job names no profiler; 7.00 MB are free." });
  });
});
