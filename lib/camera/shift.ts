/**
 * How far the picture lies from where the frame's pose puts it. Cells that ought to be paste and cells that ought to be bare target are looked up with
 * the picture moved to and fro; where both kinds tell apart best, the picture lies. It is found roughly by medians, which a hand in view does not
 * draw; then colours that fit neither kind are left out, and it is found to a fraction of a cell, turned a little too, by means.
 */
import { fisherDirection, type ClassSpread } from "../kernel/twoClasses.ts";
import { thinned, type Labels } from "./labels.ts";
import { COLOURS, type Picture } from "./picture.ts";
import { mean } from "../kernel/statistics.ts";
import { coarser, NO_SHIFT, type Shift, type View } from "./view.ts";

/** As far as it is looked for, and the steps of both searches, mm; degrees of the finer one. */
const REACH_MM = 4, COARSE_MM = 0.4, FINE_MM = [0.13, 0.045], FINE_DEG = [0.5, 0.15];
/** A place beyond the limit has to tell apart better by this than the best one within it; fewer places on good beads do not tell that. */
const CLEARLY = 1.25, LEAST_FAR = 150;
/** A shift below this share of the limit, as it looks in the picture, is taken as it is; a larger one has to be better than that by BELIEVED. */
const SAFE_SHARE = 0.6, BELIEVED = 1.15;
/** What a millimetre counts against: along parallel strands nothing tells where the picture lies. And a degree. */
const PER_MM = 0.012, PER_DEG = 0.012;
/** Ratios of colours alone are enough from this squared distance of the medians on: shadows beside beads do not draw them. */
const BY_RATIOS = 3;
const MOST_PASTE = 900, MOST_TARGET = 900;
/** Fewer cells of a kind in the picture tell nothing, share. */
const LEAST_SHARE = 0.4;
/** Levels that a colour is sorted into for its median. */
const LEVELS = 96;
/** Colours farther than this from the medians of both kinds belong to neither, in robust standard deviations; which are no less than so much, ln. */
const NEITHER = 6, LEAST_SD = 0.02;

interface Places { readonly px: Float64Array; readonly py: Float64Array; readonly tx: Float64Array; readonly ty: Float64Array }
interface Scale { readonly cellMm: number; readonly limitMm: number }

/** `picture` in cells twice as large as those of the labels and of the view that they are in, which the shift that is found is for. */
export function findShift(picture: Picture, fine: View, labels: Labels, { cellMm, limitMm }: Scale): Shift {
  const cells = thinned(labels.target, MOST_TARGET), view = coarser(fine), scale = { cellMm: 2 * cellMm, limitMm }, coarse = (v: Float64Array): Float64Array => v.map((at) => (at - 0.5) / 2);
  const places: Places = {
    px: coarse(thinned(labels.pasteX, MOST_PASTE)), py: coarse(thinned(labels.pasteY, MOST_PASTE)),
    tx: coarse(Float64Array.from(cells, (at) => at % fine.width)), ty: coarse(Float64Array.from(cells, (at) => Math.floor(at / fine.width))),
  };
  const smooth = smoothed(picture, view), sorted = sortedColours(smooth);
  let rough = roughly(sorted, view, places, scale, [1, 2]), withLight = false;
  if (rough.score < BY_RATIOS) {
    rough = roughly(sorted, view, places, scale, [0, 1, 2]);
    withLight = true;
  }
  const start = { ...rough.shift, aboutX: mean(places.px), aboutY: mean(places.py) };
  const colours = withoutStrangers(smooth, sorted, view, places, rough.shift, withLight), found = finely(colours, view, places, { start, cellMm: scale.cellMm, withLight });
  const { columns, rows, turnRad } = withinDoubt(found, scale, places.px.length, (shift) => meansApart(colours, view, places, shift, withLight));
  return { columns: 2 * columns, rows: 2 * rows, turnRad, aboutX: 2 * start.aboutX + 0.5, aboutY: 2 * start.aboutY + 0.5 };
}

/** A shift that is near the limit or beyond it is believed where it tells the kinds apart clearly better than a smaller one; else the smaller one is taken. */
function withinDoubt(found: Shift, { cellMm, limitMm }: Scale, placeCount: number, tell: (shift: Shift) => number): Shift {
  const mm = Math.sqrt(found.columns ** 2 + found.rows ** 2) * cellMm, safeMm = SAFE_SHARE * limitMm;
  if (mm <= safeMm) return found;
  const smaller = { ...found, columns: found.columns * safeMm / mm, rows: found.rows * safeMm / mm }, none = { ...found, columns: 0, rows: 0, turnRad: 0 };
  const [atFound, atSmaller, atNone] = [tell(found), tell(smaller), tell(none)];
  if (placeCount >= LEAST_FAR && atFound > BELIEVED * Math.max(atSmaller, atNone)) return found;
  return atSmaller >= atNone ? smaller : none;
}

/** Each cell the mean of itself and its neighbours, where all of them are seen. */
function smoothed({ colours, peak }: Picture, { width, height }: View): Picture {
  const rows = Float32Array.from(colours), out = Float32Array.from(colours), line = COLOURS * width;
  for (let r = 0; r < height; r++) for (let i = r * line + COLOURS; i < (r + 1) * line - COLOURS; i++) rows[i] = (colours[i - COLOURS]! + colours[i]! + colours[i + COLOURS]!) / 3;
  for (let i = line; i < out.length - line; i++) out[i] = (rows[i - line]! + rows[i]! + rows[i + line]!) / 3;
  return { colours: out, peak };
}

/** Each colour of a cell as a level, 255 = not seen. */
interface Sorted { readonly levels: readonly Uint8Array[]; readonly low: readonly number[]; readonly step: readonly number[] }

function sortedColours({ colours }: Picture): Sorted {
  const levels: Uint8Array[] = [], low: number[] = [], step: number[] = [], cells = colours.length / COLOURS;
  for (let k = 0; k < COLOURS; k++) {
    const some: number[] = [];
    for (let i = k; i < colours.length; i += 16 * COLOURS) if (!Number.isNaN(colours[i])) some.push(colours[i]!);
    const values = Float64Array.from(some).sort(), least = values[Math.floor(0.002 * values.length)] ?? 0, most = values[Math.floor(0.998 * (values.length - 1))] ?? 1, size = Math.max(1e-6, (most - least) / (LEVELS - 1)), out = new Uint8Array(cells).fill(255);
    for (let at = 0, i = k; at < cells; at++, i += COLOURS) if (!Number.isNaN(colours[i])) out[at] = Math.max(0, Math.min(LEVELS - 1, Math.round((colours[i]! - least) / size)));
    levels.push(out); low.push(least); step.push(size);
  }
  return { levels, low, step };
}

/** Median and robust standard deviation of one colour at places, moved; null: too few of them are seen. */
function middle(levels: Uint8Array, { width, height }: View, xs: Float64Array, ys: Float64Array, columns: number, rows: number): readonly [number, number] | null {
  COUNTS.fill(0);
  let n = 0;
  for (let i = 0; i < xs.length; i++) {
    const x = Math.round(xs[i]! + columns), y = Math.round(ys[i]! + rows);
    if (x < 0 || y < 0 || x >= width || y >= height) continue;
    const level = levels[y * width + x]!;
    if (level === 255) continue;
    COUNTS[level]!++;
    n++;
  }
  if (n < LEAST_SHARE * xs.length) return null;
  return [at(n, 0.5), (at(n, 0.75) - at(n, 0.25)) / 1.349]; // of a normal spread
}
const COUNTS = new Int32Array(256);

/** The level below which the share of counts lies, linear within a level. */
function at(n: number, share: number): number {
  let below = 0;
  for (let level = 0; level < LEVELS; level++) {
    const here = COUNTS[level]!;
    if (below + here >= share * n) return level - 0.5 + (share * n - below) / Math.max(1, here);
    below += here;
  }
  return LEVELS - 1;
}

/** Squared distance of the medians of both kinds over their spread, summed over colours. */
function apart(sorted: Sorted, view: View, { px, py, tx, ty }: Places, columns: number, rows: number, used: readonly number[]): number {
  let sum = 0;
  for (const k of used) {
    const paste = middle(sorted.levels[k]!, view, px, py, columns, rows), target = middle(sorted.levels[k]!, view, tx, ty, columns, rows);
    if (paste === null || target === null) return 0;
    const least = LEAST_SD / sorted.step[k]!;
    sum += (paste[0] - target[0]) ** 2 / (Math.max(paste[1], least) ** 2 + Math.max(target[1], least) ** 2);
  }
  return sum;
}

function roughly(sorted: Sorted, view: View, places: Places, { cellMm, limitMm }: Scale, used: readonly number[]): { readonly shift: Shift; readonly score: number } {
  const best = (reachMm: number, stepMm: number, isAllowed: (mm: number) => boolean): { shift: Shift; score: number } => {
    let found = { shift: NO_SHIFT, score: -1 };
    const half = Math.round(reachMm / stepMm), step = stepMm / cellMm;
    for (let j = -half; j <= half; j++) {
      for (let i = -half; i <= half; i++) {
        const mm = Math.sqrt(i * i + j * j) * stepMm;
        if (!isAllowed(mm)) continue;
        const score = apart(sorted, view, places, i * step, j * step, used) * (1 - PER_MM * mm);
        if (score > found.score) found = { shift: { ...NO_SHIFT, columns: i * step, rows: j * step }, score };
      }
    }
    return found;
  };
  const near = best(limitMm, COARSE_MM / 2, (mm) => mm <= limitMm);
  if (places.px.length < LEAST_FAR) return near;
  const far = best(REACH_MM, COARSE_MM, (mm) => mm > limitMm);
  return far.score > CLEARLY * near.score ? far : near;
}

/** The picture's colours but for those that are like neither kind. */
function withoutStrangers({ colours }: Picture, sorted: Sorted, view: View, { px, py, tx, ty }: Places, { columns, rows }: Shift, withLight: boolean): Float32Array {
  const out = Float32Array.from(colours);
  for (let k = withLight ? 0 : 1; k < COLOURS; k++) {
    const kinds = [middle(sorted.levels[k]!, view, px, py, columns, rows), middle(sorted.levels[k]!, view, tx, ty, columns, rows)];
    if (kinds.some((kind) => kind === null)) continue;
    const [low, high] = kinds.map((kind) => kind as readonly [number, number]).map(([m, sd]) => [sorted.low[k]! + sorted.step[k]! * m, NEITHER * Math.max(LEAST_SD, sorted.step[k]! * sd)] as const).sort((a, b) => a[0] - b[0]) as [readonly [number, number], readonly [number, number]];
    for (let i = k, cell = 0; i < out.length; i += COLOURS, cell++) if (colours[i]! < low[0] - low[1] || colours[i]! > high[0] + high[1]) out[COLOURS * cell] = Number.NaN;
  }
  return out;
}

interface Fine { readonly start: Shift; readonly cellMm: number; readonly withLight: boolean }

function finely(colours: Float32Array, view: View, places: Places, { start, cellMm, withLight }: Fine): Shift {
  const score = (shift: Shift): number => {
    const mm = Math.sqrt(shift.columns ** 2 + shift.rows ** 2) * cellMm, deg = Math.abs(shift.turnRad) * 180 / Math.PI;
    return meansApart(colours, view, places, shift, withLight) * (1 - PER_MM * mm - PER_DEG * deg);
  };
  let best = start;
  FINE_MM.forEach((stepMm, round) => {
    for (let turn = 0; turn < 2; turn++) {
      best = bestOf(grid(best, 2, stepMm / cellMm), score);
      if (places.px.length >= LEAST_FAR) best = bestOf([-4, -3, -2, -1, 0, 1, 2, 3, 4].map((k) => ({ ...best, turnRad: best.turnRad + k * FINE_DEG[round]! * Math.PI / 180 })), score);
    }
  });
  return best;
}

function grid(from: Shift, half: number, step: number): Shift[] {
  const shifts: Shift[] = [];
  for (let j = -half; j <= half; j++) for (let i = -half; i <= half; i++) shifts.push({ ...from, columns: from.columns + i * step, rows: from.rows + j * step });
  return shifts;
}

function bestOf(shifts: readonly Shift[], score: (shift: Shift) => number): Shift {
  let best = shifts[0] as Shift, most = -Infinity;
  for (const shift of shifts) {
    const own = score(shift);
    if (own > most) [most, best] = [own, shift];
  }
  return best;
}

/** Squared Mahalanobis distance of the means of both kinds; 0: too little is seen. */
function meansApart(colours: Float32Array, view: View, { px, py, tx, ty }: Places, shift: Shift, withLight: boolean): number {
  const paste = spreadAt(colours, view, px, py, shift, withLight), target = spreadAt(colours, view, tx, ty, shift, withLight);
  if (paste === null || target === null) return 0;
  const direction = fisherDirection(target, paste);
  let distance = 0;
  for (let k = 0; k < COLOURS; k++) distance += direction[k]! * (paste.mean[k]! - target.mean[k]!);
  return distance;
}

function spreadAt(colours: Float32Array, view: View, xs: Float64Array, ys: Float64Array, { columns, rows, turnRad, aboutX: cx, aboutY: cy }: Shift, withLight: boolean): ClassSpread | null {
  const s = new Float64Array(9), { width, height } = view, cos = 1 - turnRad * turnRad / 2;
  let n = 0;
  for (let i = 0; i < xs.length; i++) {
    const dx = xs[i]! - cx, dy = ys[i]! - cy, x = cx + cos * dx - turnRad * dy + columns, y = cy + turnRad * dx + cos * dy + rows, x0 = Math.floor(x), y0 = Math.floor(y);
    if (x0 < 0 || y0 < 0 || x0 >= width - 1 || y0 >= height - 1) continue;
    const o = COLOURS * (y0 * width + x0), p = o + COLOURS * width, fx = x - x0, fy = y - y0, w0 = (1 - fx) * (1 - fy), w1 = fx * (1 - fy), w2 = (1 - fx) * fy, w3 = fx * fy;
    const light = w0 * colours[o]! + w1 * colours[o + 3]! + w2 * colours[p]! + w3 * colours[p + 3]!, a = withLight ? light : 0;
    const b = w0 * colours[o + 1]! + w1 * colours[o + 4]! + w2 * colours[p + 1]! + w3 * colours[p + 4]!, d = w0 * colours[o + 2]! + w1 * colours[o + 5]! + w2 * colours[p + 2]! + w3 * colours[p + 5]!;
    if (light !== light) continue;
    n++;
    s[0]! += a; s[1]! += b; s[2]! += d; s[3]! += a * a; s[4]! += a * b; s[5]! += a * d; s[6]! += b * b; s[7]! += b * d; s[8]! += d * d;
  }
  if (n < LEAST_SHARE * xs.length) return null;
  const m = Float64Array.of(s[0]! / n, s[1]! / n, s[2]! / n), v = (sum: number, i: number, j: number): number => s[sum]! / n - m[i]! * m[j]!;
  return { mean: m, covariance: Float64Array.of(v(3, 0, 0) + 1e-5, v(4, 0, 1), v(5, 0, 2), v(6, 1, 1) + 1e-5, v(7, 1, 2), v(8, 2, 2) + 1e-5), count: n };
}
