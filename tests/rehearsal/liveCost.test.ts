import { describe, expect, it } from "vitest";
import { measureLiveCost } from "../../lib/rehearsal/liveCost.ts";
import { FakeClock, settle } from "../support/fakeClock.ts";

describe("measureLiveCost", () => {
  it("is processor time over wall time: 0.03 s each 0.5 s of wall time are 0.06 of a core", async () => {
    const clock = new FakeClock(), text = JSON.stringify({ runId: "r" });
    const measured = measureLiveCost({ clock, cpuS: () => clock.nowMs() * 0.06 / 1000, wire: async () => ({ status: 200, retryAfterS: null, text }) }, 3);
    for (let i = 0; i < 400; i++) {
      await settle();
      if (Number.isFinite(clock.nextMs)) clock.moveTo(Math.min(clock.nextMs, clock.nowMs() + 50));
    }
    expect(await measured).toEqual({ coreShare: expect.closeTo(0.06, 6), wallS: expect.closeTo(3, 1), simulatedS: expect.closeTo(3, 1) });
  });
});
