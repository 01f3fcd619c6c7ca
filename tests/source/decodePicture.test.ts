import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp, { type Sharp } from "sharp";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import type { FrameMessage } from "../../lib/model/messages.ts";
import { decodePicture } from "../../lib/source/decodePicture.ts";
import { chunk, exifOf, madePng, type MadePng } from "../support/madePng.ts";
import { collect, ndjson, profileRows, runFolder } from "./runFolder.ts";

const W = 5, H = 3, CAMERA = { widthPx: W, heightPx: H };
/** Samples that all differ, 0 and the greatest among them. */
const rowsOf = (channels: number, most: number): number[][] => Array.from({ length: H }, (_, y) => Array.from({ length: W * channels }, (__, x) => Math.round(most * ((7 * (x + W * channels * y)) % (W * H * channels)) / (W * H * channels - 1))));
const png = (change: Partial<MadePng> = {}): Uint8Array => madePng({ width: W, height: H, bits: 8, type: 2, rows: rowsOf(3, 255), ...change });
const codes = async (input: Uint8Array | string): Promise<number[] | string> => {
  const { pixels, refused } = await decodePicture(input, CAMERA);
  return pixels === null ? refused : [...pixels.rgb];
};
const thrice = (values: readonly number[]): number[] => values.flatMap((value) => [value, value, value]);
/** Its alpha is full but for one pixel. */
const withAlpha = (rows: readonly (readonly number[])[], channels: number, full: number, one = full): number[][] => rows.map((row, y) => Array.from({ length: W }, (_, x) => [...row.slice(x * (channels - 1), (x + 1) * (channels - 1)), y === 1 && x === 3 ? one : full]).flat());

describe("a picture's numbers are those that were coded", () => {
  it("of a PNG with 8 bits, colours or grey, opaque alpha or none, interlacing aside", async () => {
    const colours = rowsOf(3, 255).flat(), grey = rowsOf(1, 255);
    expect(await codes(png())).toEqual(colours);
    expect(await codes(png({ type: 6, rows: withAlpha(rowsOf(3, 255), 4, 255) }))).toEqual(colours);
    expect(await codes(png({ type: 0, rows: grey }))).toEqual(thrice(grey.flat()));
    expect(await codes(png({ type: 4, rows: withAlpha(grey, 2, 255) }))).toEqual(thrice(grey.flat()));
    expect(await codes(new Uint8Array(await sharp(Buffer.from(png())).png({ progressive: true }).toBuffer()))).toEqual(colours);
  });

  it("of grey with 1, 2 and 4 bits scaled to 255, and of a palette its colours", async () => {
    for (const bits of [1, 2, 4] as const) {
      const rows = rowsOf(1, 2 ** bits - 1);
      expect(await codes(png({ type: 0, bits, rows }))).toEqual(thrice(rows.flat().map((value) => value * 255 / (2 ** bits - 1))));
    }
    const palette = [[200, 3, 90], [0, 255, 17], [64, 65, 66], [1, 2, 254]], rows = rowsOf(1, 3);
    expect(await codes(png({ type: 3, bits: 2, rows, before: [chunk("PLTE", Uint8Array.from(palette.flat()))] }))).toEqual(rows.flat().flatMap((i) => palette[i] as number[]));
  });

  it("of 16 bits the nearest of 255 · v / 65 535, which the high byte alone is not: 65 407 is 255 and 128 is 0", async () => {
    const rows = rowsOf(3, 65_535), grey = rowsOf(1, 65_535);
    rows[0]!.splice(0, 3, 32_895, 32_896, 33_024);
    rows[1]!.splice(0, 3, 65_407, 65_406, 128);
    const near = (values: readonly number[]): number[] => values.map((value) => Math.round(value * 255 / 65_535));
    expect(near([32_895, 32_896, 33_024, 65_407, 65_406, 128])).not.toEqual([32_895, 32_896, 33_024, 65_407, 65_406, 128].map((value) => value >> 8));
    expect(await codes(png({ bits: 16, rows }))).toEqual(near(rows.flat()));
    expect(await codes(png({ bits: 16, type: 0, rows: grey }))).toEqual(thrice(near(grey.flat())));
    expect(await codes(png({ bits: 16, type: 6, rows: withAlpha(rows, 4, 65_535) }))).toEqual(near(rows.flat()));
  });

  it("whatever gamma, colour profile or background it claims", async () => {
    const gamma = Buffer.alloc(4), profile = await sharp(Buffer.from(png())).withIccProfile("p3").png().toBuffer();
    gamma.writeUInt32BE(100_000);
    const at = profile.indexOf("iCCP") - 4, iccp = profile.subarray(at, at + 12 + profile.readUInt32BE(at));
    expect(iccp.length).toBeGreaterThan(300);
    for (const before of [[chunk("gAMA", gamma)], [iccp], [chunk("bKGD", Uint8Array.of(0, 255, 0, 0, 0, 255))]]) expect(await codes(png({ before }))).toEqual(rowsOf(3, 255).flat());
  });

  it("of a JPEG those of a plain decoder within its own loss: a grey of 77 is 77, and pure red stays within 2 codes", async () => {
    const flat = (r: number, g: number, b: number) => sharp({ create: { width: W, height: H, channels: 3, background: { r, g, b } } });
    expect(await codes(await flat(77, 77, 77).jpeg({ quality: 100 }).toBuffer())).toEqual(thrice(Array.from({ length: W * H }, () => 77)));
    expect(await codes(await flat(77, 77, 77).toColourspace("b-w").jpeg({ quality: 100 }).toBuffer())).toEqual(thrice(Array.from({ length: W * H }, () => 77)));
    const red = await codes(await flat(255, 0, 0).withIccProfile("p3").jpeg({ quality: 100, progressive: true }).toBuffer()) as number[]; // the profile's red is coded as another, and is not turned back
    expect(Math.abs(red[0]! - 234)).toBeLessThan(2);
    expect(red.slice(0, 3).every((code, i) => Math.abs(code - [234, 51, 35][i]!) < 2)).toBe(true);
  });

  it("the same from a path as from bytes, and the second time", async () => {
    const folder = mkdtempSync(join(tmpdir(), "picture-")), path = join(folder, "1.png");
    writeFileSync(path, png());
    expect([await codes(path), await codes(path)]).toEqual([rowsOf(3, 255).flat(), rowsOf(3, 255).flat()]);
    rmSync(folder, { recursive: true });
  });
});

describe("a picture is refused in words", () => {
  const jpeg = (change: (picture: Sharp) => Sharp = (picture) => picture) => change(sharp(Buffer.from(png()))).jpeg().toBuffer();
  const broken = /^its data are broken or end early$/;

  it.each([0.2, 0.5, 0.9])("that ends after %d of its bytes, and one of which the last byte is missing", async (share) => {
    for (const whole of [Buffer.from(png()), await jpeg()]) for (const length of [Math.floor(whole.length * share), whole.length - 1]) expect(await codes(whole.subarray(0, length))).toMatch(broken);
  });

  it.each<[string, () => Uint8Array | Promise<Uint8Array>, RegExp]>([
    ["with a flipped bit in its pixels", () => { const out = png(), at = Buffer.from(out).indexOf("IDAT") + 12; out[at]! ^= 4; return out; }, broken],
    ["that ends after its signature", () => png().slice(0, 8), broken],
    ["of 6 × 3 pixels", () => madePng({ width: 6, height: 3, bits: 8, type: 0, rows: Array.from({ length: 3 }, () => [1, 2, 3, 4, 5, 6]) }), /^it has 6 × 3 pixels, and the camera 5 × 3$/],
    ["of 3 × 5 pixels", () => madePng({ width: 3, height: 5, bits: 8, type: 0, rows: Array.from({ length: 5 }, () => [1, 2, 3]) }), /3 × 5 pixels/],
    ["of inks", () => jpeg((picture) => picture.toColourspace("cmyk")), /CMYK/],
    ["that moves (acTL before its pixels)", () => png({ before: [chunk("acTL", Uint8Array.of(0, 0, 0, 2, 0, 0, 0, 0))] }), /^it holds several pictures$/],
    ["with one transparent pixel", () => png({ type: 6, rows: withAlpha(rowsOf(3, 255), 4, 255, 254) }), /^it has transparent pixels$/],
    ["with one transparent pixel of grey and 16 bits", () => png({ type: 4, bits: 16, rows: withAlpha(rowsOf(1, 65_535), 2, 65_535, 65_534) }), /transparent/],
    ["with a transparent colour of its palette", () => png({ type: 3, rows: rowsOf(1, 1), before: [chunk("PLTE", Uint8Array.of(1, 2, 3, 4, 5, 6)), chunk("tRNS", Uint8Array.of(0))] }), /transparent/],
    ["to be turned, as EXIF before its pixels says", () => png({ before: [chunk("eXIf", exifOf(6))] }), /EXIF orientation 6/],
    ["to be turned, as EXIF behind its pixels says with the other byte order", () => png({ after: [chunk("eXIf", exifOf(3, false))] }), /EXIF orientation 3/],
    ["to be turned, as a JPEG's EXIF says", () => jpeg((picture) => picture.withMetadata({ orientation: 8 })), /EXIF orientation 8/],
    ["as WebP", () => sharp(Buffer.from(png())).webp().toBuffer(), /^it is neither PNG nor JPEG$/],
    ["as GIF", () => sharp(Buffer.from(png())).gif().toBuffer(), /neither PNG nor JPEG/],
    ["as SVG", () => Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="5" height="3"/>`), /neither PNG nor JPEG/],
    ["of no byte", () => new Uint8Array(0), /neither PNG nor JPEG/],
    ["larger than any of its camera", () => new Uint8Array(17 * 1024 * 1024), /and no picture of the camera has more than/],
  ])("%s", async (_, make, words) => {
    expect(await codes(await make())).toMatch(words);
  });

  it("by its head alone where it claims 30 000 × 30 000 pixels in 40 bytes: nothing is unpacked", async () => {
    const bomb = madePng({ width: 30_000, height: 30_000, bits: 16, type: 6, rows: [[1]] }), before = process.memoryUsage().rss;
    expect(await codes(bomb)).toBe("it has 30000 × 30000 pixels, and the camera 5 × 3");
    expect(process.memoryUsage().rss - before).toBeLessThan(256e6);
  });

  it("but is read where EXIF says that it stands upright, or nothing that can be read", async () => {
    for (const exif of [exifOf(1), Uint8Array.of(0x49, 0x49, 42), new Uint8Array(40).fill(255)]) expect(await codes(png({ before: [chunk("eXIf", exif)] }))).toEqual(rowsOf(3, 255).flat());
  });
});

describe("a folder's frames", () => {
  let folder: string;
  beforeAll(async () => {
    const row = (file: string, tS: number): string => `${file},camera-1,${tS},0,0,90,0,1,0,0,plan\n`, head = "file,device,t_s,tx,ty,tz,qx,qy,qz,qw,frame\n";
    folder = await runFolder({
      "profiles.ndjson": ndjson(profileRows(3)), "frames.csv": `${head}${row("frames/1.png", 1)}${row("frames/2.png", 2)}`, "frames/2.png": "a text",
      "frames/1.png": madePng({ width: 12, height: 9, bits: 8, type: 0, rows: Array.from({ length: 9 }, (_, y) => Array.from({ length: 12 }, (__, x) => 10 * x + y)) }),
    });
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  it("are read when they are asked for; one that is no picture is kept, is null, and is one warning however often", async () => {
    const run = await openRunFolder(folder), frames = (await collect(run.messages())).filter((message): message is FrameMessage => message.kind === "frame");
    expect(run.files.map(({ path }) => path)).toEqual(expect.arrayContaining(["frames/1.png", "frames/2.png"]));
    expect(run.warnings).toEqual([]);
    const [first, second] = frames as [FrameMessage, FrameMessage], pixels = await run.pixels(first);
    expect([pixels?.widthPx, pixels?.heightPx, pixels?.rgb[3 * (12 * 2 + 7) + 1]]).toEqual([12, 9, 72]);
    expect([await run.pixels(second), await run.pixels(second)]).toEqual([null, null]);
    expect(run.warnings).toEqual([{ code: "frame.unreadable", message: "frames/2.png is kept and not measured: it is neither PNG nor JPEG", file: "frames.csv" }]);
  });
});
