import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { readBoard, readToolPoses } from "../../lib/source/boardFiles.ts";
import { decodeGray } from "../../lib/source/boardImages.ts";

/** 6 × 4 px, each pixel 8 x + 30 y + 20. */
const GREYS = Uint8Array.from({ length: 24 }, (_, i) => 8 * (i % 6) + 30 * Math.floor(i / 6) + 20), raw = sharp(GREYS, { raw: { width: 6, height: 4, channels: 1 } });

describe("decodeGray", () => {
  it("gives a grey PNG as it is, number for number", async () => {
    const { pixels, width, height } = await decodeGray(await raw.clone().png().toBuffer(), "a.png");
    expect([width, height, ...pixels]).toEqual([6, 4, ...GREYS]);
  });

  it("makes no turn that metadata asks for: a JPEG marked as lying on its side keeps its 6 × 4 px, its first row being the darkest", async () => {
    const { pixels, width, height } = await decodeGray(await raw.clone().jpeg({ quality: 100 }).withMetadata({ orientation: 6 }).toBuffer(), "a.jpg");
    expect([width, height]).toEqual([6, 4]);
    pixels.forEach((v, i) => expect(Math.abs(v - GREYS[i]!)).toBeLessThanOrEqual(3));
  });

  it("a colour picture of equal parts, one with transparency, and one of 16 bits give the same grey within 1", async () => {
    const colour = await sharp(Buffer.from([...GREYS].flatMap((v) => [v, v, v])), { raw: { width: 6, height: 4, channels: 3 } }).png().toBuffer();
    const clear = await sharp(Buffer.from([...GREYS].flatMap((v) => [v, v, v, 200])), { raw: { width: 6, height: 4, channels: 4 } }).png().toBuffer();
    const deep = await sharp(Uint16Array.from(GREYS, (v) => v * 257), { raw: { width: 6, height: 4, channels: 1 } }).toColourspace("grey16").png().toBuffer();
    for (const [name, bytes] of [["colour", colour], ["clear", clear], ["deep", deep]] as const) {
      const { pixels } = await decodeGray(bytes, name);
      pixels.forEach((v, i) => expect(Math.abs(v - GREYS[i]!), `${name} ${i}`).toBeLessThanOrEqual(1));
    }
  });

  it.each([["nothing", new Uint8Array(0)], ["text", new TextEncoder().encode("GIF89a and more")]])("refuses %s with calibration.badValue", async (_, bytes) => {
    await expect(decodeGray(bytes, "a.png")).rejects.toMatchObject({ code: "calibration.badValue", place: { file: "a.png" } });
  });

  it("refuses a picture that breaks off with calibration.badValue", async () => {
    const noise = await sharp(Buffer.from(Array.from({ length: 120 * 90 }, (_, i) => (i * 7919) % 251)), { raw: { width: 120, height: 90, channels: 1 } }).png().toBuffer();
    await expect(decodeGray(noise.subarray(0, noise.length >> 1), "a.png")).rejects.toMatchObject({ code: "calibration.badValue" });
  });
});

describe("board.json and poses.csv", () => {
  it("what is given besides stands over the file, and an unknown key is one warning that names it", () => {
    const { board, warnings } = readBoard(`\uFEFF{"pattern":"dots","columns":9,"rows":7,"pitchMm":5,"paper":"A4"}`, { columns: 11, rows: null, camera: "camera-4" });
    expect(board).toEqual({ pattern: "dots", columns: 11, rows: 7, pitchMm: 5, camera: "camera-4" });
    expect(warnings).toEqual(["the key paper of board.json is not known and is ignored"]);
  });

  it("without a file everything may be given besides; the size may be left out whole, and no half of it", () => {
    expect(readBoard("", { pattern: "checkerboard", pitchMm: 3 }).board).toEqual({ pattern: "checkerboard", columns: null, rows: null, pitchMm: 3, camera: "camera-1" });
    for (const over of [{ columns: 9 }, { columns: 2, rows: 4 }, { columns: 9, rows: 201 }, { columns: 9.5, rows: 6 }]) expect(() => readBoard("", { pattern: "dots", pitchMm: 3, ...over })).toThrow(InputError);
  });

  it("poses come by picture, columns in any order; a picture twice and a cell that is no decimal number are refused at their line", () => {
    const head = "qw,qx,qy,qz,file,tx,ty,tz";
    expect([...readToolPoses(`${head}\n1,0,0,0,a.png,1,2,3\r\n0.6,0,0.8,0,b.png,-4,5.5,6e1\n`)]).toEqual([["a.png", [1, 2, 3, 0, 0, 0, 1]], ["b.png", [-4, 5.5, 60, 0, 0.8, 0, 0.6]]]);
    for (const rows of ["1,0,0,0,a.png,1,2,3\n1,0,0,0,a.png,1,2,4", "1,0,0,0,a.png,1,2,3\n1,0,0,0,b.png,1,0x2,4"]) expect(() => readToolPoses(`${head}\n${rows}\n`)).toThrow(expect.objectContaining({ code: "calibration.badPose", place: expect.objectContaining({ line: 3 }) }));
  });
});
