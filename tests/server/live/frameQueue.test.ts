import { describe, expect, it } from "vitest";
import type { FrameReading } from "../../../lib/camera/scene.ts";
import type { FrameMessage } from "../../../lib/model/messages.ts";
import { FrameQueue } from "../../../lib/server/live/frameQueue.ts";

const frame = (n: number, tS = n / 10): FrameMessage => ({ kind: "frame", tS, device: "camera-1", file: `frames/${n}.png`, pose: [0, 0, 90, 0, 1, 0, 0], frame: "plan" });
const reading = (n: number, reason: FrameReading["reason"] = null): FrameReading => ({
  file: `frames/${n}.png`, device: "camera-1", tS: n / 10, layer: 1, reason, separability: 0.96, poseErrorMm: Number.NaN, states: new Uint8Array(4), attempt: new Uint8Array(4), pasteFraction: new Float32Array(4),
  widthMm: new Float32Array(4), uWidthMm: new Float32Array(4), bodies: [], placesSeen: new Uint8Array(0), nozzleHangMm2: Number.NaN, tip: null, middle: [1, 2, 3],
});
const counts = (queue: FrameQueue): number[] => { const { keptCount, measuredCount, skippedCount } = queue.told(); return [keptCount, measuredCount, skippedCount]; };

describe("frames on their way to be measured", () => {
  it("are taken newest first: of 5 that came meanwhile one waits, and 4 are left for the end", () => {
    const queue = new FrameQueue();
    for (let n = 1; n <= 5; n++) queue.add(frame(n), 1000 + n);
    expect(queue.next(9, 1010)?.file).toBe("frames/5.png");
    expect([queue.next(9, 1010), queue.hasWaiting, counts(queue)]).toEqual([null, false, [5, 0, 4]]);
    queue.done(reading(5));
    expect(queue.told()).toEqual({ keptCount: 5, measuredCount: 1, skippedCount: 4, newest: { file: "frames/5.png", device: "camera-1", tS: 0.5, used: true, reason: null, separability: 0.96, poseErrorMm: null } });
  });

  it("wait for what is said of the nozzle at their instant, or 300 ms", () => {
    const queue = new FrameQueue();
    queue.add(frame(7), 2000);
    expect([queue.next(0.69, 2299), queue.next(Number.NaN, 2299)]).toEqual([null, null]);
    expect(queue.next(0.7, 2299)?.file).toBe("frames/7.png");
    queue.add(frame(8), 3000);
    expect([queue.next(0.7, 3299.9), queue.next(0.7, 3300)?.file]).toEqual([null, "frames/8.png"]);
  });

  it("the newest that progress has reached is taken, and newer ones go on waiting: of 6 to 10 with progress at 0.8 s frame 8, two skipped", () => {
    const queue = new FrameQueue();
    for (let n = 6; n <= 10; n++) queue.add(frame(n), 100 * n);
    expect([queue.next(0.8, 1000)?.file, queue.hasWaiting, counts(queue)]).toEqual(["frames/8.png", true, [5, 0, 2]]);
    expect(queue.next(0.89, 1100)).toBeNull();
    expect(queue.next(1, 1100)?.file).toBe("frames/10.png");
  });

  it("no wait begins anew with a newer frame: at ten a second and without progress one is taken each time the oldest has waited for 300 ms", () => {
    const queue = new FrameQueue(), taken: string[] = [];
    for (let n = 1; n <= 12; n++) {
      queue.add(frame(n), 100 * n);
      const next = queue.next(Number.NaN, 100 * n);
      if (next !== null) taken.push(next.file);
    }
    expect(taken).toEqual(["frames/4.png", "frames/8.png", "frames/12.png"]);
  });

  it("come in order of their time: one that is older than what was taken, or than what waits, is left for the end", () => {
    const queue = new FrameQueue();
    queue.add(frame(5), 0);
    expect(queue.next(9, 0)?.file).toBe("frames/5.png");
    for (const n of [4, 5]) queue.add(frame(n), 0);
    expect([queue.hasWaiting, counts(queue)]).toEqual([false, [3, 0, 2]]);
    queue.add(frame(8), 0);
    queue.add(frame(6), 0);
    expect([queue.next(9, 0)?.file, counts(queue)]).toEqual(["frames/8.png", [5, 0, 3]]);
  });

  it("every one is measured, skipped, under way or waiting: nothing is lost where the thread dies over one", () => {
    const queue = new FrameQueue();
    queue.add(frame(1), 0);
    queue.next(9, 0);
    queue.done(null);
    expect(counts(queue)).toEqual([1, 0, 1]);
  });

  it("are news once each time something changed; an unused one is told with its reason", () => {
    const queue = new FrameQueue();
    expect(queue.hasNews).toBe(false);
    queue.add(frame(1), 0);
    expect([queue.hasNews, queue.told().newest, queue.hasNews]).toEqual([true, null, false]);
    queue.next(9, 0);
    queue.done(reading(1, "blurred"));
    expect([queue.hasNews, queue.told().newest?.used, queue.told().newest?.reason]).toEqual([true, false, "blurred"]);
  });
});
