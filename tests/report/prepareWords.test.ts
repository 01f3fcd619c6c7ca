import { describe, expect, it } from "vitest";
import { deviceLines, prepareSentence } from "../../lib/report/prepareWords.ts";
import { madeJob } from "../support/madePlan.ts";

const NOW_MS = Date.parse("2026-02-03T09:12:00.000Z");
const job = madeJob("stadium", (json) => { json["devices"] = [...json["devices"] as object[], { id: "arm-1", kind: "arm" }]; });

describe("devices of a job", () => {
  it("have the tokens that may speak for them, their own and those for all, with when they were last heard", () => {
    expect(deviceLines(job, [
      { name: "cell", device: null, lastUsedAt: "2026-02-03T09:09:00.000Z" }, { name: "scanner", device: "profiler-1", lastUsedAt: null }, { name: "other", device: "profiler-9", lastUsedAt: "2026-02-03T09:11:00.000Z" },
    ], NOW_MS)).toEqual([
      { id: "profiler-1", kind: "profiler", tokens: [{ name: "cell (all devices)", heard: "heard 3 min ago" }, { name: "scanner", heard: "never heard" }] },
      { id: "arm-1", kind: "arm", tokens: [{ name: "cell (all devices)", heard: "heard 3 min ago" }] },
    ]);
  });
});

describe("the sentence of a run that is prepared", () => {
  const [line] = deviceLines(job, [{ name: "cell", device: null, lastUsedAt: null }], NOW_MS), mute = { id: "arm-1", kind: "arm", tokens: [] };
  it("says that nothing stands against it, or what does", () => {
    expect(prepareSentence({ actCount: 0, stationCount: 1490 }, { isEnough: true }, line === undefined ? [] : [line])).toEqual({
      headline: "Ready to be armed: nothing stands against it.", detail: "1\u2009490 stations will be measured. Arming makes the run; the print begins when the cell sends its first data.",
    });
    expect(prepareSentence({ actCount: 1, stationCount: 3 }, { isEnough: true }, []).headline).toBe("Ready to be armed, but the plan has one act item.");
    expect(prepareSentence({ actCount: 2, stationCount: 3 }, { isEnough: false }, [mute, mute, mute]).headline).toBe("Ready to be armed, but the plan has two act items, the disk is too small and three devices have no token.");
    expect(prepareSentence({ actCount: 0, stationCount: 3 }, { isEnough: false }, [mute]).headline).toBe("Ready to be armed, but the disk is too small and one device has no token.");
  });
});
