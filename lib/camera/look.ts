/**
 * What paste looks like in one frame: the channel that separates it best from bare target, how well it does, and what looks like neither. Brightness is
 * taken against the target's own brightness near by, so that uneven light and wide shadows do not count.
 */
import { dilateMask, openMask } from "../kernel/mask.ts";
import { median } from "../kernel/statistics.ts";
import { fisherDirection, inverse3, robustSpread, rocArea, squareIn, type ClassSpread } from "../kernel/twoClasses.ts";
import type { FramePixels } from "../model/frame.ts";
import { COLOURS, logOf, type Picture } from "./picture.ts";
import type { View } from "./view.ts";

export interface Look {
  /** 0 where it looks like bare target, 1 like paste, linear in the channel; NaN: not seen, or like neither. */
  readonly score: Float32Array; // Float32Array[cell]
  /** 1: something that is neither paste nor target stands before it. */
  readonly strange: Uint8Array; // Uint8Array[cell]
  /** Where paste and target are equally likely. */
  readonly threshold: number;
  /** Of a cell that is half paste and half target as they usually are. */
  readonly half: number;
  readonly separability: number;
  /** How far a cell of paste scatters, in `score`. */
  readonly noise: number;
  /** Brightness against the target near by, ln; NaN: not seen. */
  readonly brightness: (cell: number) => number;
  /**
   * The score of a cell that is half paste of brightness `paste` and half target of brightness `target` (ln): light adds up, its logarithms do not, and
   * the brighter of both colours more than its half.
   */
  readonly halfAndHalf: (paste: number, target: number) => number;
  /** Squared distance of a cell's colour from paste, in standard deviations, light as it falls. */
  readonly fromPaste: (cell: number) => number;
  /** The same from the colours of some other cells; null: they are too few. */
  readonly fromCells: (cells: Int32Array) => ((cell: number) => number) | null;
  /** Both kinds' ratios of colours as the picture has them: what later frames of the camera are likely to show. */
  readonly known: KnownColours;
}

/** Mean and covariance of ln(R/G) and ln(B/G). */
export interface Ratios { readonly rg: number; readonly bg: number; readonly varRg: number; readonly varBg: number; readonly cov: number }
export interface KnownColours { readonly paste: Ratios; readonly target: Ratios }

/** Ratios of colours in a rectangle of a frame that is all paste (pixels, corner to corner); null: it holds too little. */
export function ratiosIn({ widthPx, heightPx, rgb }: FramePixels, [u0, v0, u1, v1]: readonly [number, number, number, number]): Ratios | null {
  const values: number[] = [], [left, right] = [Math.min(u0, u1), Math.max(u0, u1)], [top, bottom] = [Math.min(v0, v1), Math.max(v0, v1)];
  for (let v = Math.max(0, Math.ceil(top)); v <= Math.min(heightPx - 1, Math.floor(bottom)); v++) {
    for (let u = Math.max(0, Math.ceil(left)); u <= Math.min(widthPx - 1, Math.floor(right)); u++) {
      const at = 3 * (v * widthPx + u), [r, g, b] = [logOf(rgb[at]!), logOf(rgb[at + 1]!), logOf(rgb[at + 2]!)];
      values.push(0, r - g, b - g);
    }
  }
  return values.length < COLOURS * LEAST_MARKED ? null : ratiosOf(robustSpread(Float32Array.from(values), LEAST_SPREAD), 0, 0);
}
/** Fewer pixels of a mark teach nothing. */
const LEAST_MARKED = 9;

/** Squared distance from a kind's ratios, in standard deviations widened by what light changes. */
export function farFrom({ rg, bg, varRg, varBg, cov }: Ratios): (x: number, y: number) => number {
  const a = varRg + KNOWN_SD * KNOWN_SD, b = varBg + KNOWN_SD * KNOWN_SD, det = a * b - cov * cov;
  return (x, y) => (b * (x - rg) * (x - rg) - 2 * cov * (x - rg) * (y - bg) + a * (y - bg) * (y - bg)) / det;
}

/** Known colours are widened by this, ln: light changes a little from frame to frame. */
const KNOWN_SD = 0.05;

/**
 * The picture without what is neither paste nor target by colours that an earlier frame of the camera taught: a hand may cover more of the strands than
 * it leaves. The picture itself where next to nothing would be left: then the light is another.
 */
export function withoutStrange(picture: Picture, view: View, { paste, target }: KnownColours, cellMm: number): Picture {
  const { colours } = picture, cells = view.width * view.height, strange = new Uint8Array(cells);
  const fromPaste = farFrom(paste), fromTarget = farFrom(target);
  let seen = 0, count = 0;
  for (let at = 0; at < cells; at++) {
    const x = colours[COLOURS * at + 1]!, y = colours[COLOURS * at + 2]!;
    if (x !== x) continue;
    seen++;
    if (fromPaste(x, y) > STRANGE / 2 && fromTarget(x, y) > STRANGE / 2) { strange[at] = 1; count++; }
  }
  if (count > MOST_STRANGE * seen) return picture;
  const opened = openMask(strange, view.width, view.height, Math.max(1, Math.round(STRANGE_MM / cellMm))), grown = dilateMask(opened, view.width, view.height, Math.max(1, Math.round(ROUND_STRANGE_MM / cellMm)));
  const left = colours.slice();
  for (let at = 0; at < cells; at++) if (grown[at] === 1) left.fill(Number.NaN, COLOURS * at, COLOURS * (at + 1));
  return { ...picture, colours: left };
}

/** Side of a tile of background, mm. */
const TILE_MM = 3;
/** Least spreads that are believed: brightness and both ratios, ln. */
const LEAST_SPREAD = [0.04, 0.015, 0.015] as const;
/** On paste and target alike light falls differently on flanks and in shadow: added to the spread of brightness before something is called strange. */
const SHADING = 0.45;
/** Fewer cells tell no colour. */
const LEAST_CELLS = 60;
/** Colours of one class: nearly all lie within. */
const STRANGE = 36;
/** More of a picture is not taken for strange, share. */
const MOST_STRANGE = 0.9;
/** What is thinner is a highlight or an edge, mm; and so much round something strange is mixed with it. */
const STRANGE_MM = 0.35, ROUND_STRANGE_MM = 0.3;

/** Learns from the cells given. `paste`, `target`: cells. */
export function learn(picture: Picture, view: View, paste: Int32Array, target: Int32Array, cellMm: number): Look {
  const { flat, rg, bg } = flattened(picture, view, target, Math.max(4, Math.round(TILE_MM / cellMm)));
  const pasteColours = pick(flat, paste), targetColours = pick(flat, target);
  const [pasteSpread, targetSpread] = [pasteColours, targetColours].map((colours) => robustSpread(halfOf(colours, 0), LEAST_SPREAD)) as [ClassSpread, ClassSpread];
  const pasteNear = nearness(pasteSpread), targetNear = nearness(targetSpread), isStrange = (x: number, y: number, z: number): boolean => pasteNear(x, y, z) > STRANGE && targetNear(x, y, z) > STRANGE;
  const axis = bestAxis(halfOf(pasteColours, 0), halfOf(targetColours, 0), { paste: pasteSpread, target: targetSpread }, isStrange);
  const along = (o: ArrayLike<number>, i: number): number => axis[0]! * o[i]! + axis[1]! * o[i + 1]! + axis[2]! * o[i + 2]!;
  const zero = along(targetSpread.mean, 0), one = along(pasteSpread.mean, 0);
  const [pasteScores, targetScores] = [pasteColours, targetColours].map((colours) => projected(kept(halfOf(colours, 1), isStrange), axis, zero, one)) as [Float64Array, Float64Array];
  const separability = rocArea(targetScores, pasteScores);
  const spreadOf = (values: Float64Array, middle: number): number => Math.max(0.02, 1.4826 * median(values.map((v) => Math.abs(v - middle))));
  const pasteSd = spreadOf(pasteScores, 1), targetSd = spreadOf(targetScores, 0);
  const cells = view.width * view.height, strange = new Uint8Array(cells), score = new Float32Array(cells);
  for (let at = 0; at < cells; at++) {
    const x = flat[COLOURS * at]!, y = flat[COLOURS * at + 1]!, z = flat[COLOURS * at + 2]!;
    score[at] = (axis[0]! * x + axis[1]! * y + axis[2]! * z - zero) / (one - zero);
    if (x === x && isStrange(x, y, z)) strange[at] = 1;
  }
  const opened = openMask(strange, view.width, view.height, Math.max(1, Math.round(STRANGE_MM / cellMm))), grown = dilateMask(opened, view.width, view.height, Math.max(1, Math.round(ROUND_STRANGE_MM / cellMm)));
  const halfAndHalf = (p: number, t: number): number => (along(mixed([p, pasteSpread.mean[1]!, pasteSpread.mean[2]!], [t, targetSpread.mean[1]!, targetSpread.mean[2]!]), 0) - zero) / (one - zero);
  return {
    score, brightness: (cell) => flat[COLOURS * cell] as number,
    halfAndHalf, half: halfAndHalf(pasteSpread.mean[0]!, targetSpread.mean[0]!),
    known: { paste: ratiosOf(pasteSpread, rg, bg), target: ratiosOf(targetSpread, rg, bg) }, strange: grown, threshold: targetSd / (targetSd + pasteSd), separability, noise: pasteSd,
    fromPaste: (cell) => pasteNear(flat[COLOURS * cell]!, flat[COLOURS * cell + 1]!, flat[COLOURS * cell + 2]!),
    fromCells: (cells) => {
      const colours = pick(flat, cells);
      if (colours.length < COLOURS * LEAST_CELLS) return null;
      const near = nearness(robustSpread(colours, LEAST_SPREAD));
      return (cell) => near(flat[COLOURS * cell]!, flat[COLOURS * cell + 1]!, flat[COLOURS * cell + 2]!);
    },
  };
}

/** Half of each light, as colours. */
function mixed(a: readonly [number, number, number], b: readonly [number, number, number]): [number, number, number] {
  const [p, t] = [a, b].map(([light, rg, bg]) => { const green = light - (rg + bg) / 3; return [green + rg, green, green + bg].map(Math.exp); }) as [number[], number[]];
  const [r, g, bl] = p.map((v, k) => Math.log((v + (t[k] as number)) / 2)) as [number, number, number];
  return [(r + g + bl) / 3, r - g, bl - g];
}

const ratiosOf = ({ mean, covariance: c }: ClassSpread, rg: number, bg: number): Ratios => ({ rg: rg + mean[1]!, bg: bg + mean[2]!, varRg: c[3]!, cov: c[4]!, varBg: c[5]! });

const halfOf = (colours: Float32Array, half: 0 | 1): Float32Array => colours.filter((_, i) => (Math.floor(i / COLOURS) & 1) === half);

function projected(colours: Float32Array, axis: Float64Array, zero: number, one: number): Float64Array {
  return Float64Array.from({ length: colours.length / COLOURS }, (_, i) => (axis[0]! * colours[3 * i]! + axis[1]! * colours[3 * i + 1]! + axis[2]! * colours[3 * i + 2]! - zero) / (one - zero));
}

/** Squared distance from a class, its spread of brightness widened by shading. */
function nearness({ mean, covariance }: { readonly mean: Float64Array; readonly covariance: Float64Array }): (x: number, y: number, z: number) => number {
  const inverse = inverse3(Float64Array.from(covariance, (v, i) => (i === 0 ? v + SHADING * SHADING : v)));
  return (x, y, z) => squareIn(inverse, x - mean[0]!, y - mean[1]!, z - mean[2]!);
}

function kept(colours: Float32Array, isStrange: (x: number, y: number, z: number) => boolean): Float32Array {
  return colours.filter((_, i) => { const o = i - i % COLOURS; return !isStrange(colours[o]!, colours[o + 1]!, colours[o + 2]!); });
}

/** A channel that a shadow changes has to separate better than one that it does not by this. */
const CLEARLY_BETTER = 0.01;

/** The direction of colours with the greatest area under its ROC curve, of equally good ones the first: both ratios together, each alone, brightness, all together. */
function bestAxis(paste: Float32Array, target: Float32Array, spreads: { readonly paste: ClassSpread; readonly target: ClassSpread }, isStrange: (x: number, y: number, z: number) => boolean): Float64Array {
  const [a, b] = [kept(paste, isStrange), kept(target, isStrange)];
  const axes = [fisherDirection(withoutBrightness(spreads.target), withoutBrightness(spreads.paste)), Float64Array.of(0, 1, 0), Float64Array.of(0, 0, 1), Float64Array.of(1, 0, 0), fisherDirection(spreads.target, spreads.paste)];
  const areas = axes.map((axis) => {
    const area = rocArea(projected(b, axis, 0, 1), projected(a, axis, 0, 1));
    return Math.max(area, 1 - area);
  });
  return axes[areas.findIndex((area) => area >= Math.max(...areas) - CLEARLY_BETTER)] as Float64Array;
}

/** Brightness tells nothing: as if it were one and the same, and its own affair. */
function withoutBrightness({ mean, covariance, count }: ClassSpread): ClassSpread {
  return { mean: Float64Array.of(0, mean[1]!, mean[2]!), covariance: Float64Array.of(1, 0, 0, covariance[3]!, covariance[4]!, covariance[5]!), count };
}

function pick(flat: Float32Array, cells: Int32Array): Float32Array {
  const out: number[] = [];
  for (const at of cells) if (!Number.isNaN(flat[COLOURS * at])) out.push(flat[COLOURS * at]!, flat[COLOURS * at + 1]!, flat[COLOURS * at + 2]!);
  return Float32Array.from(out);
}

/** Colours less those of the target: brightness by the medians of tiles, linear between their middles, both ratios by one median each. */
function flattened({ colours }: Picture, { width, height }: View, target: Int32Array, tile: number): { readonly flat: Float32Array; readonly rg: number; readonly bg: number } {
  const columns = Math.ceil(width / tile), rows = Math.ceil(height / tile), held: number[][] = Array.from({ length: columns * rows }, () => []);
  const ratios: [number[], number[]] = [[], []];
  for (const at of target) {
    const light = colours[COLOURS * at]!;
    if (light !== light) continue;
    held[Math.floor(Math.floor(at / width) / tile) * columns + Math.floor((at % width) / tile)]!.push(light);
    ratios[0].push(colours[COLOURS * at + 1]!);
    ratios[1].push(colours[COLOURS * at + 2]!);
  }
  const medians = filled(held.map((values) => (values.length < 12 ? Number.NaN : median(values))), columns, rows);
  const [rg, bg] = ratios.map((values) => median(values)) as [number, number];
  const out = new Float32Array(colours.length);
  for (let row = 0, at = 0; row < height; row++) {
    const fr = Math.min(rows - 1, Math.max(0, (row + 0.5) / tile - 0.5)), r0 = Math.min(rows - 1, Math.floor(fr)), r1 = Math.min(rows - 1, r0 + 1), wr = fr - r0;
    for (let column = 0; column < width; column++, at++) {
      const fc = Math.min(columns - 1, Math.max(0, (column + 0.5) / tile - 0.5)), c0 = Math.min(columns - 1, Math.floor(fc)), c1 = Math.min(columns - 1, c0 + 1), wc = fc - c0;
      const light = (1 - wr) * ((1 - wc) * medians[r0 * columns + c0]! + wc * medians[r0 * columns + c1]!) + wr * ((1 - wc) * medians[r1 * columns + c0]! + wc * medians[r1 * columns + c1]!);
      out[COLOURS * at] = colours[COLOURS * at]! - light;
      out[COLOURS * at + 1] = colours[COLOURS * at + 1]! - rg;
      out[COLOURS * at + 2] = colours[COLOURS * at + 2]! - bg;
    }
  }
  return { flat: out, rg, bg };
}

/** Tiles without a median take the mean of their neighbours', round after round. */
function filled(medians: number[], columns: number, rows: number): number[] {
  for (let round = 0; round < columns + rows && medians.some((v) => v !== v); round++) {
    const before = medians.slice();
    medians.forEach((own, i) => {
      if (own === own) return;
      let sum = 0, n = 0;
      for (const [dc, dr] of [[-1, 0], [1, 0], [0, -1], [0, 1]] as const) {
        const c = i % columns + dc, r = Math.floor(i / columns) + dr, v = c >= 0 && r >= 0 && c < columns && r < rows ? before[r * columns + c]! : Number.NaN;
        if (v === v) { sum += v; n++; }
      }
      if (n > 0) medians[i] = sum / n;
    });
  }
  return medians;
}
