import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Message, ProfileMessage, ProgressMessage } from "../../lib/model/messages.ts";
import { Reorder } from "../../lib/run/reorder.ts";
import { compareMessages } from "../../lib/source/merge.ts";

const profile = (tS: number, device = "p"): ProfileMessage => ({ kind: "profile", device, frame: "plan", seq: Math.round(1000 * tS), tS, pose: [0, 0, 60, 0, 0, 0, 1], zMm: new Float32Array(2), xMm: null, layer: null });
const progress = (tS: number, event: ProgressMessage["event"] = "update"): ProgressMessage => ({ kind: "progress", tS, layer: 1, strand: 1, sMm: 8 * tS, event });
const times = (messages: readonly Message[]): number[] => messages.map(({ tS }) => tS);

describe("putting messages in order while they arrive", () => {
  it("loses and doubles nothing that is not counted as late, and each device's profiles come out in order (by properties)", () => {
    const arrival = fc.record({ tS: fc.integer({ min: 0, max: 400 }), who: fc.integer({ min: 0, max: 2 }), afterMs: fc.integer({ min: 0, max: 120 }) });
    fc.assert(fc.property(fc.array(arrival, { maxLength: 60 }), (arrivals) => {
      const reorder = new Reorder(compareMessages), out: Message[] = [];
      let nowMs = 0;
      for (const { tS, who, afterMs } of arrivals) {
        nowMs += afterMs;
        reorder.add(who === 2 ? progress(tS / 100) : profile(tS / 100, `p${who}`), nowMs);
        out.push(...reorder.release(nowMs));
      }
      out.push(...reorder.release(nowMs + 1000));
      expect(out.length + reorder.lateCount).toBe(arrivals.length);
      expect(out.filter(({ kind }) => kind === "progress")).toHaveLength(arrivals.filter(({ who }) => who === 2).length);
      for (const device of ["p0", "p1"]) {
        const own = times(out.filter((message) => message.kind === "profile" && message.device === device));
        expect(own).toEqual(own.toSorted((a, b) => a - b));
      }
      expect(reorder.waiting).toBe(0);
    }), { seed: 23 });
  });

  it("profiles wait for where the nozzle is, which may lag by 0.06 s", () => {
    const reorder = new Reorder(compareMessages);
    for (const message of [progress(1), profile(1.05), profile(1.07)]) reorder.add(message, 10);
    expect(times(reorder.release(20))).toEqual([1, 1.05]);
    reorder.add(progress(1.04), 30);
    expect(times(reorder.release(31))).toEqual([1.04, 1.07]);
  });

  it("a sender that is silent for 150 ms holds nobody up, one for 149 ms does", () => {
    const reorder = new Reorder(compareMessages);
    reorder.add(progress(1), 0);
    reorder.add(profile(2), 100);
    expect(times(reorder.release(149))).toEqual([1]);
    expect(times(reorder.release(150))).toEqual([2]);
  });

  it("nobody waits for a strand that has ended", () => {
    const reorder = new Reorder(compareMessages);
    reorder.add(progress(1, "end"), 0);
    reorder.add(profile(2), 1);
    expect(times(reorder.release(2))).toEqual([1, 2]);
  });

  it("what the nozzle did counts even late; a profile up to 0.5 s late counts, 0.51 s is late, and one before a handed-on profile of its device is", () => {
    const reorder = new Reorder(compareMessages);
    reorder.add(progress(3), 0);
    reorder.add(profile(2.2, "q"), 0);
    reorder.release(0);
    expect(times(reorder.release(200))).toEqual([3]);
    for (const message of [progress(1, "start"), profile(2.51), profile(2.49), profile(2.1, "q")]) reorder.add(message, 201);
    expect(reorder.lateCount).toBe(2);
    expect(times(reorder.release(1000))).toEqual([1, 2.51]);
  });

  it("signals, poses and frames are not waited for nor handed on: the live engine measures nothing from them", () => {
    const reorder = new Reorder(compareMessages);
    reorder.add({ kind: "signal", name: "pressureKPa", tS: 5, value: 1 }, 0);
    expect(reorder.waiting).toBe(0);
  });
});
