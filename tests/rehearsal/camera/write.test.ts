import { createHash } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InputError } from "../../../lib/base/errors.ts";
import { largestRect } from "../../../lib/rehearsal/camera/largestRect.ts";
import { encodePng } from "../../../lib/rehearsal/camera/png.ts";
import { shotsOf } from "../../../lib/rehearsal/camera/shots.ts";
import { makeRandom } from "../../../lib/rehearsal/random.ts";
import { layOut, simulate } from "../../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../../lib/rehearsal/write.ts";

let place = "";
beforeEach(() => { place = mkdtempSync(join(tmpdir(), "frames-")); });
afterEach(() => { rmSync(place, { recursive: true, force: true }); });

const RUN = { strands: 2, lengthMm: 8, seed: 23, stationSpacingMm: 2 } as const, CAMERA = { widthPx: 96, heightPx: 72, pxPerMm: 6, everyS: 1.5 } as const;

function codeOf(work: () => unknown): string {
  try {
    work();
  } catch (error) {
    if (error instanceof InputError) return error.code;
    throw error;
  }
  return "none";
}

describe("encodePng", () => {
  it("is read by another library as the bytes that went in (37 × 23 pixels of seed 3; sharp)", async () => {
    const random = makeRandom(3, "pixels"), rgb = Uint8Array.from({ length: 3 * 37 * 23 }, () => Math.floor(256 * random.next()));
    const { data, info } = await sharp(encodePng({ widthPx: 37, heightPx: 23, rgb })).raw().toBuffer({ resolveWithObject: true });
    expect([info.width, info.height, info.channels]).toEqual([37, 23, 3]);
    expect(Buffer.compare(data, Buffer.from(rgb))).toBe(0);
  });
});

describe("largestRect", () => {
  it("has the area that trying every rectangle finds (60 masks of 9 × 7 pixels, seed 8), and all of it is marked", () => {
    const random = makeRandom(8, "mask");
    for (let turn = 0; turn < 60; turn++) {
      const marked = Array.from({ length: 63 }, (_, i) => i === 31 || random.next() < 0.75), full = (u0: number, v0: number, u1: number, v1: number): boolean => {
        for (let v = v0; v <= v1; v++) for (let u = u0; u <= u1; u++) if (marked[9 * v + u] !== true) return false;
        return true;
      };
      let most = 0;
      for (let v0 = 0; v0 < 7; v0++) for (let v1 = v0; v1 < 7; v1++) for (let u0 = 0; u0 < 9; u0++) for (let u1 = u0; u1 < 9; u1++) if (full(u0, v0, u1, v1)) most = Math.max(most, (u1 - u0 + 1) * (v1 - v0 + 1));
      const [u0, v0, u1, v1] = largestRect(9, 7, (i) => marked[i] === true) ?? [0, 0, -1, -1];
      expect((u1 - u0 + 1) * (v1 - v0 + 1)).toBe(most);
      expect(full(u0, v0, u1, v1)).toBe(true);
    }
  });
});

describe("fillCamera", () => {
  it.each([["widthPx", 63], ["heightPx", 480.5], ["look", "noir"], ["angleDeg", 66], ["everyS", 0.09], ["pxPerMm", Number.NaN], ["poseOffDeg", -1], ["distanceMm", 501]])("refuses %s %s with command.usage", (key, value) => {
    expect(codeOf(() => simulate(RUN, { [key]: value }))).toBe("command.usage");
  });
});

describe("shotsOf", () => {
  it("looks every 1.5 s from the first start on, and once 0.5 s after a layer's end, in order; the hand is in every second frame", () => {
    const { schedule } = layOut(RUN), shots = shotsOf(schedule, { everyS: 1.5, hand: true }), fromS = schedule.lays[0]!.startS;
    expect(shots[0]).toEqual({ file: "frames/0001.png", tS: expect.closeTo(fromS + 1.5, 6), withHand: false });
    expect(shots[1]?.withHand).toBe(true);
    expect(shots.at(-1)?.tS).toBeCloseTo(schedule.layers[0]!.afterS + 0.5, 6);
    expect(shots.map((one) => one.tS)).toEqual(shots.map((one) => one.tS).toSorted((a, b) => a - b));
  });
});

describe("writeRunFolder with a camera", () => {
  const digest = (folder: string): string => {
    const hash = createHash("sha256");
    for (const file of readdirSync(folder, { recursive: true, encoding: "utf8" }).toSorted()) if (/\.\w+$/.test(file)) hash.update(file).update(readFileSync(join(folder, file)));
    return hash.digest("hex");
  };

  it("the same seed gives the same folder, byte for byte; frames.csv, frames and truth tell of the same files (seed 23)", () => {
    for (const name of ["a", "b"]) writeRunFolder(simulate(RUN, CAMERA), join(place, name), "arrow");
    expect(digest(join(place, "b"))).toBe(digest(join(place, "a")));
    const folder = join(place, "a"), lines = readFileSync(join(folder, "frames.csv"), "utf8").trim().split("\n"), truth = JSON.parse(readFileSync(join(folder, "truth.json"), "utf8")) as { frames: { file: string }[]; stations: unknown[]; camera: { look: string } };
    expect(lines[0]).toBe("file,device,t_s,tx,ty,tz,qx,qy,qz,qw,frame");
    const files = lines.slice(1).map((line) => line.split(",")[0]);
    expect(files.length).toBeGreaterThan(2);
    expect(truth.frames.map((one) => one.file)).toEqual(files);
    expect(readdirSync(join(folder, "frames")).map((name) => `frames/${name}`)).toEqual(files);
    expect([truth.stations.length, truth.camera.look]).toEqual([10, "standard"]);
    expect(lines[1]?.endsWith(",plan")).toBe(true);
  });

  it("without profilers the job names the camera alone, and paste.csv a rectangle that shows nothing but paste; without a camera nothing of it is there", async () => {
    writeRunFolder(simulate(RUN, { ...CAMERA, pxPerMm: 10, alone: true }), join(place, "alone"), "arrow");
    const job = JSON.parse(readFileSync(join(place, "alone", "job.json"), "utf8")) as { devices: { kind: string }[] };
    expect(job.devices.map((one) => one.kind)).toEqual(["camera"]);
    expect(readdirSync(join(place, "alone")).filter((name) => name.startsWith("profiles"))).toEqual([]);
    const [head, row = ""] = readFileSync(join(place, "alone", "paste.csv"), "utf8").trim().split("\n"), [, , file = "", ...rest] = row.split(","), [u0, v0, u1, v1] = rest.map(Number) as [number, number, number, number];
    expect(head).toBe("t_s,device,file,u0_px,v0_px,u1_px,v1_px,who");
    const { data } = await sharp(readFileSync(join(place, "alone", file))).extract({ left: u0, top: v0, width: u1 - u0 + 1, height: v1 - v0 + 1 }).raw().toBuffer({ resolveWithObject: true });
    const blue = Array.from({ length: data.length / 3 }, (_, i) => data[3 * i + 2] as number);
    expect(blue.length).toBeGreaterThanOrEqual(20);
    expect(Math.min(...blue)).toBeGreaterThan(112); // foam's blue stays under 100 in this look
    expect(codeOf(() => simulate(RUN, { ...CAMERA, pxPerMm: 2, alone: true }))).toBe("command.usage");
    const plain = simulate(RUN);
    expect([JSON.stringify(plain.jobJson).includes("camera"), "camera" in plain.truth, [...plain.frames()].length]).toEqual([false, false, 0]);
  });
});
