import { describe, expect, it } from "vitest";
import { linearOf, logOf, takePicture } from "../../lib/camera/picture.ts";
import { placeOf, type View } from "../../lib/camera/view.ts";

const STRAIGHT = { fx: 100, fy: 100, cx: 4, cy: 3, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 };
const W = 8, H = 6;
const view = (change: Partial<View> = {}): View => ({ lens: STRAIGHT, place: placeOf([0, 0, 50, 1, 0, 0, 0]), u0: 0, v0: 0, step: 1, width: W, height: H, ...change });
/** Codes that differ from pixel to pixel and channel to channel. */
const code = (u: number, v: number, channel: number): number => 10 + 20 * u + 3 * v + 30 * channel;
const PIXELS = { widthPx: W, heightPx: H, rgb: Uint8Array.from({ length: 3 * W * H }, (_, i) => code(Math.floor(i / 3) % W, Math.floor(i / 3 / W), i % 3)) };
/** IEC 61966-2-1, written once more. */
const linear = (c: number): number => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
const log = (c: number): number => Math.log(linear(c) + 0.004);
const expected = (r: number, g: number, b: number): unknown[] => [(log(r) + log(g) + log(b)) / 3, log(r) - log(g), log(b) - log(g)].map((v) => expect.closeTo(v, 5));
const at = (colours: Float32Array, cell: number): number[] => [...colours.subarray(3 * cell, 3 * cell + 3)];

describe("linear light of a code (IEC 61966-2-1)", () => {
  it("0 → 0, 255 → 1, 188 → 0.5029 (from memory), 10 → 10 / 255 / 12.92; both branches meet at 0.04045 and it always grows", () => {
    expect([linearOf(0), linearOf(255)]).toEqual([0, 1]);
    expect(linearOf(188)).toBeCloseTo(0.5029, 4);
    expect(linearOf(10)).toBeCloseTo(10 / 255 / 12.92, 12);
    expect(Math.abs(linearOf(255 * 0.04045 + 1e-6) - linearOf(255 * 0.04045))).toBeLessThan(1e-7);
    for (let c = 1; c < 256; c++) expect(linearOf(c)).toBeGreaterThan(linearOf(c - 1));
  });

  it("logarithms are looked up to an eighth of a code", () => {
    for (const c of [0, 1, 99, 254.875, 255]) expect(logOf(c)).toBeCloseTo(log(c), 12);
    expect(logOf(100.06)).toBe(logOf(100));
  });
});

describe("a picture taken over into cells", () => {
  it("without distortion, a pixel a cell: brightness and both ratios of every pixel, and its greatest code", () => {
    const { colours, peak } = takePicture(view(), PIXELS, []);
    for (let cell = 0; cell < W * H; cell++) {
      const [u, v] = [cell % W, Math.floor(cell / W)];
      expect(at(colours, cell)).toEqual(expected(code(u, v, 0), code(u, v, 1), code(u, v, 2)));
      expect(peak[cell]).toBe(code(u, v, 2));
    }
  });

  it("a cell of two by two pixels is the mean of four codes; one that reaches beyond the picture is not seen", () => {
    const { colours } = takePicture(view({ u0: 0.5, v0: 0.5, step: 2, width: 5, height: 3 }), PIXELS, []), mean = (u: number, v: number, k: number): number => (code(u, v, k) + code(u + 1, v, k) + code(u, v + 1, k) + code(u + 1, v + 1, k)) / 4;
    expect(at(colours, 1 * 5 + 2)).toEqual(expected(mean(4, 2, 0), mean(4, 2, 1), mean(4, 2, 2)));
    expect(at(colours, 4)).toEqual([NaN, NaN, NaN]);
  });

  it("a rectangle of raw pixels that is masked, corners in any order and edges included, is not seen; all else is", () => {
    for (const rect of [[2, 1, 4, 3], [4, 3, 2, 1]] as const) {
      const { colours } = takePicture(view(), PIXELS, [rect]);
      for (let cell = 0; cell < W * H; cell++) {
        const [u, v] = [cell % W, Math.floor(cell / W)];
        expect(Number.isNaN(colours[3 * cell])).toBe(u >= 2 && u <= 4 && v >= 1 && v <= 3);
      }
    }
  });

  it("moved by a column and two rows, a cell is looked up there", () => {
    const { colours } = takePicture(view(), PIXELS, [], { columns: 1, rows: 2, turnRad: 0, aboutX: 3, aboutY: 3 });
    expect(at(colours, 1 * W + 3)).toEqual(expected(code(4, 3, 0), code(4, 3, 1), code(4, 3, 2)));
    expect(at(colours, 5 * W + 3)).toEqual([NaN, NaN, NaN]);
  });

  /** Red counts columns and green rows, from (800, 400). */
  const RAMP = { widthPx: 1280, heightPx: 720, rgb: new Uint8Array(3 * 1280 * 720) };
  for (let v = 400; v < 656; v++) for (let u = 800; u < 1056; u++) RAMP.rgb.set([u - 800, v - 400, 60], 3 * (1280 * v + u));

  it("Brown–Conrady by hand: x 0.3, y 0.2, k1 −0.2, k2 0.05, p1 0.001, p2 −0.0005, f 800, c (640, 360) is seen at (873.9348, 516.0952)", () => {
    // r² = 0.13, radial 0.974845; x′ = 0.2924535 + 0.00012 − 0.000155, y′ = 0.194969 + 0.00021 − 0.00006
    const lens = { fx: 800, fy: 800, cx: 640, cy: 360, k1: -0.2, k2: 0.05, p1: 0.001, p2: -0.0005, k3: 0 };
    const { colours, peak } = takePicture(view({ lens, u0: 640 + 800 * 0.3, v0: 360 + 800 * 0.2, width: 1, height: 1 }), RAMP, []), eighth = (v: number): number => Math.round(8 * v) / 8;
    expect(at(colours, 0)).toEqual(expected(eighth(73.9348), eighth(116.0952), 60));
    expect(peak[0]).toBe(116);
  });

  it("beyond the lens's fold nothing is seen though a pixel lies there: k1 −0.4 folds at r = √(1 / 1.2) = 0.9129", () => {
    const lens = { fx: 400, fy: 400, cx: 640, cy: 360, k1: -0.4, k2: 0, p1: 0, p2: 0, k3: 0 }, seenAt = (r: number): number => takePicture(view({ lens, u0: 640 + 400 * r, v0: 360, width: 1, height: 1 }), RAMP, []).colours[0] as number;
    expect(seenAt(0.912)).not.toBeNaN();
    expect(seenAt(0.914)).toBeNaN();
  });
});
