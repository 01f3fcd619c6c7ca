import { describe, expect, it, vi } from "vitest";
import type { FrameReading, FrameScene } from "../../../lib/camera/scene.ts";
import { FrameEye } from "../../../lib/server/live/frameEye.ts";

/** Answers with the scene's file, and dies over one that is called "fatal". */
const PROGRAM = new URL(`data:text/javascript,${encodeURIComponent(`
import { parentPort } from "node:worker_threads";
parentPort.on("message", ({ file }) => { if (file === "fatal") throw new Error("over"); parentPort.postMessage({ file }); });`)}`);
const scene = (file: string): FrameScene => ({ file }) as FrameScene;

/** What came of frames, one after another. */
async function measured(files: readonly string[]): Promise<{ readonly told: (string | null)[]; readonly isFree: boolean }> {
  let heard: (reading: FrameReading | null) => void = () => undefined;
  const eye = new FrameEye({ dataFolder: "", runId: "run" }, (reading) => heard(reading), PROGRAM), told: (string | null)[] = [];
  for (const file of files) {
    if (!eye.isFree) break;
    const answer = new Promise<FrameReading | null>((done) => { heard = done; });
    eye.measure(scene(file));
    expect(eye.isFree).toBe(false);
    told.push((await answer)?.file ?? null);
  }
  return { told, isFree: eye.isFree };
}

describe("the thread that measures frames", () => {
  const complaints = (): number => {
    const { length } = vi.mocked(console.error).mock.calls;
    vi.mocked(console.error).mockClear();
    return length;
  };

  it("that dies over a frame gives it up, and is there again for the next", async () => {
    expect(await measured(["a", "fatal", "b", "fatal", "c"])).toEqual({ told: ["a", null, "b", null, "c"], isFree: true });
    expect(complaints()).toBe(2);
  });

  it("that dies four times with nothing measured in between is started no more", async () => {
    expect(await measured(["fatal", "fatal", "fatal", "a", "fatal", "fatal", "fatal", "fatal", "b"])).toEqual({ told: [null, null, null, "a", null, null, null, null], isFree: false });
    expect(complaints()).toBe(7);
  });
});
