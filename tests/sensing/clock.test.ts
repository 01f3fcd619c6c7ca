import { describe, expect, it } from "vitest";
import { onReference, referenceS } from "../../lib/sensing/clock.ts";

describe("a device's stamps on the reference clock", () => {
  it("are its own less its offset: a stamp of 1007.5 s of a clock 1000 s ahead is 7.5 s; without an offset they stand", () => {
    expect([referenceS(1007.5, 1000), referenceS(7.25, null)]).toEqual([7.5, 7.25]);
  });

  it("by the device that sent the message, every other field as it is; the very message where the job states no offset", () => {
    const devices = [{ id: "profiler-1", clockOffsetS: 1000 }, { id: "camera-1", clockOffsetS: null }];
    const profile = { device: "profiler-1", tS: 1007.5, seq: 3 }, frame = { device: "camera-1", tS: 8 };
    expect(onReference(profile, devices)).toEqual({ device: "profiler-1", tS: 7.5, seq: 3 });
    expect(onReference(frame, devices)).toBe(frame);
  });
});
