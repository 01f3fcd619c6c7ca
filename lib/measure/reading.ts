import { outlineMm } from "../formula/bead.ts";
import type { BeadShape } from "../model/job.ts";
import { CONTRIBUTIONS, type Budget, type Contribution, type Reading } from "../model/reading.ts";
import type { SupportKind } from "../model/result.ts";
import { crownOf } from "./crown.ts";
import { cellRange } from "./grid.ts";
import { pasteBeside } from "./paste.ts";
import { HOLLOW, PLANNED } from "./rowSupport.ts";
import { ALONG_DOUBT, BETWEEN, bridgeCells, EMPTY, LEVEL_DOUBT, MOMENT_DOUBT, PASS_LENGTH, SEQ, type Sections } from "./section.ts";
import { MIN_COVERAGE, SCALE_U, type ContributionSwitch } from "./settings.ts";

export interface ReadingContext {
  readonly shape: BeadShape;
  readonly device: string;
  /** Uncertainty of the surface's place in a translucent material along the normal, mm; 0: opaque. */
  readonly surfaceU: number;
  readonly contributions: ContributionSwitch;
}

/** Share of a support's sample noise that is left after it was interpolated twice, in the map and between rows. */
const SUPPORT_NOISE = 0.6;
/** Cells share samples and a crown is never quite of the planned form: its variance grows by this (from phantoms, all surfaces). */
const CROWN_FORM = 1.15;
/** Over paste, which is never quite even, the highest place of a bead is known to this share of its height (from phantoms, all surfaces). */
const PASTE_FORM = 0.005;
const MAX_CELLS = 512;
const cellB = new Float64Array(MAX_CELLS);
const cellT = new Float64Array(MAX_CELLS);
const cellV = new Float64Array(MAX_CELLS);

/** Sums over the lateral window of one section; `effective` is the length whose level counts. */
interface WindowSums {
  area: number; covered: number; noise: number; hole: number; step: number; plannedVariance: number; length: number; effective: number; inView: boolean;
}

/** What the section gathered at a station says of the bead there; null where nothing of its window was seen. */
export function readSection(s: Sections, station: number, context: ReadingContext): Reading | null {
  const beyond = 3 * s.grid.cellMm; // a cell at the window's border is bridged from one outside it
  const reach = cellRange(s.grid, -(s.strand.windowRightMm[station] as number) - beyond, (s.strand.windowLeftMm[station] as number) + beyond);
  bridgeCells(s, station, reach, Math.floor(0.3 * (s.strand.widthMm[station] as number) / s.grid.cellMm));
  const sums = sumWindow(s, station);
  if (sums === null) return null;
  const { strand } = s;
  const w = strand.widthMm[station] as number, h = strand.heightMm[station] as number;
  const pass = (part: number): number => s.pass[PASS_LENGTH * station + part] as number;
  const tS = pass(0), driftVariance = pass(1), sigma = pass(2), pitch = pass(3), sway = pass(4), share = pass(5), alongDoubt = pass(ALONG_DOUBT), supportDoubt = pass(LEVEL_DOUBT), momentDoubt = pass(MOMENT_DOUBT), seq = pass(SEQ);
  const supportNoise = SUPPORT_NOISE * share * sigma * sigma * pitch;
  const flanks = flanksOf(s, station);
  shrinkStrips(s, station, sums, flanks, { supportNoise, driftVariance });
  const support = supportOf(s, station);
  const widthMm = flanks.left - flanks.right;
  const moments = widthMm > 0 ? momentsBetween(s, station, flanks.right, flanks.left) : null;
  const middle = moments !== null && moments.area > 0 ? moments.centroid : 0;
  const crown = crownAt(s, station, { shape: context.shape, middle, widthMm: widthMm > 0 ? widthMm : w, supportVariance: supportNoise / s.grid.cellMm });
  const edge = outlineMm(context.shape, w, h, (w - pitch) / 2); // how high the outline stands where a flank is in doubt
  const budget = budgetOf(sums, { widthMm: w, alongDoubt, supportDoubtMm2: supportDoubt * w, driftVariance, supportNoise, flanks, edgeMm: edge, surfaceU: context.surfaceU, contributions: context.contributions });
  const uAreaMm2 = rootSumOfSquares(budget);
  const area = sums.area;
  const coverage = Math.min(1, sums.covered / sums.length);
  const surface = context.contributions.calibration ? context.surfaceU : 0;
  const drift = context.contributions.drift ? driftVariance : 0;
  const planned = context.contributions.support ? sums.plannedVariance + supportDoubt * supportDoubt : 0;
  return {
    device: context.device, seq, tS, areaMm2: area, uAreaMm2,
    heightMm: crown === null ? Number.NaN : crown.heightMm,
    uHeightMm: crown === null ? Number.NaN : Math.sqrt((context.contributions.noise ? CROWN_FORM * crown.variance : 0) + drift + planned + surface * surface + (SCALE_U * h) ** 2 + (strand.layer > 1 ? (PASTE_FORM * h) ** 2 : 0) + (sums.step / w / 2) ** 2),
    widthMm: widthMm > 0 ? widthMm : Number.NaN,
    uWidthMm: widthMm > 0 ? Math.hypot(flanks.uLeft, flanks.uRight, SCALE_U * w) : Number.NaN,
    offsetMm: moments !== null && moments.area > 0 ? moments.centroid : Number.NaN,
    uOffsetMm: moments !== null && moments.area > 0 ? offsetU(moments, flanks, edge, { supportNoise, momentDoubt, pitch, sway: context.contributions.drift ? sway : 0 }) : Number.NaN,
    coverage, support,
    outsideRatio: moments === null ? 0 : moments.outside / (strand.visibleAreaMm2[station] as number),
    rightFlankMm: flanks.right, leftFlankMm: flanks.left,
    rightPasteFraction: flanks.right === flanks.right ? Number.NaN : pasteBeside(s, station, -1), leftPasteFraction: flanks.left === flanks.left ? Number.NaN : pasteBeside(s, station, 1),
    crownSeen: crown !== null,
    sagMm: support === "spanned" && crown !== null ? h - crown.heightMm : Number.NaN,
    good: sums.inView && coverage >= MIN_COVERAGE,
    budget,
  };
}

/** Sums over the window, its end cells by the share that lies inside. */
function sumWindow(s: Sections, station: number): WindowSums | null {
  const right = s.strand.windowRightMm[station] as number, left = s.strand.windowLeftMm[station] as number;
  const { grid } = s;
  const { from, to } = cellRange(grid, -right, left);
  const base = station * grid.count;
  const sums: WindowSums = { area: 0, covered: 0, noise: 0, hole: 0, step: 0, plannedVariance: 0, length: left + right, effective: left + right, inView: true };
  let seen = false;
  for (let k = from; k < to; k++) {
    const c = base + k;
    if (s.tag[c] === EMPTY) { sums.inView = false; continue; }
    seen = true;
    const low = grid.first + k * grid.cellMm;
    const share = (Math.min(left, low + grid.cellMm) - Math.max(-right, low)) / grid.cellMm;
    sums.area += share * (s.areaMm2[c] as number);
    sums.covered += share * (s.coveredMm[c] as number);
    sums.noise += share * share * (s.noiseMm4[c] as number);
    sums.hole += share * share * (s.holeMm4[c] as number);
    if (s.tag[c] === BETWEEN) sums.step += share * (s.stepMm2[c] as number);
    sums.plannedVariance += share * (s.supportVariance[c] as number) * grid.cellMm / sums.length;
  }
  return seen ? sums : null;
}

/** Cells left to the flank itself before a strip beside the bead begins. */
const FLANK_CELLS = 1;

/**
 * Beside a bead whose flank was seen the window shows bare support: its thickness M ± √V is nothing but noise unless it stands out of it.
 * Each such strip enters with the share M² / (M² + V), the James–Stein kind of weight: a smear that is really there counts, noise hardly does.
 */
function shrinkStrips(s: Sections, station: number, sums: WindowSums, flanks: Flanks, c: { supportNoise: number; driftVariance: number }): void {
  const { grid, strand } = s;
  const edge = FLANK_CELLS * grid.cellMm;
  const right = -(strand.windowRightMm[station] as number), left = strand.windowLeftMm[station] as number;
  for (const [from, to] of [[right, flanks.right - edge], [flanks.left + edge, left]] as const) {
    if (!(to - from > 2 * grid.cellMm)) continue; // also where the flank was not seen
    const range = cellRange(grid, from, to);
    let area = 0, noise = 0, length = 0;
    for (let k = range.from; k < range.to; k++) {
      const low = grid.first + k * grid.cellMm;
      const share = (Math.min(to, low + grid.cellMm) - Math.max(from, low)) / grid.cellMm;
      area += share * (s.areaMm2[station * grid.count + k] as number);
      noise += share * share * (s.noiseMm4[station * grid.count + k] as number);
      length += share * grid.cellMm;
    }
    const variance = noise + c.supportNoise * length + c.driftVariance * length * length;
    const away = 1 - area * area / (area * area + variance);
    sums.area -= away * area;
    sums.noise -= away * noise;
    sums.effective -= away * length;
  }
}

interface Flanks { right: number; uRight: number; left: number; uLeft: number }

function flanksOf(s: Sections, station: number): Flanks {
  const side = (i: 0 | 1): [number, number] => (s.flankTag[2 * station + i] === EMPTY ? [Number.NaN, Number.NaN] : [s.flanks[4 * station + 2 * i] as number, s.flanks[4 * station + 2 * i + 1] as number]);
  const [right, uRight] = side(0), [left, uLeft] = side(1);
  return { right, uRight, left, uLeft };
}

/** What most of the bead's width stands on. */
function supportOf(s: Sections, station: number): SupportKind {
  const half = (s.strand.widthMm[station] as number) / 2;
  const { from, to } = cellRange(s.grid, -half, half);
  let planned = 0, hollow = 0, all = 0;
  for (let k = from; k < to; k++) {
    const c = station * s.grid.count + k;
    if (s.tag[c] === EMPTY) continue;
    all++;
    if (s.kind[c] === PLANNED) planned++;
    else if (s.kind[c] === HOLLOW) hollow++;
  }
  return 2 * hollow > all ? "spanned" : 2 * planned > all ? "planned" : "measured";
}

interface Moments { area: number; centroid: number; outside: number; noiseB2: number; lengthB2: number }

/** Area, centroid and area outside the window between the two flanks. */
function momentsBetween(s: Sections, station: number, rightMm: number, leftMm: number): Moments {
  const { grid, strand } = s;
  const { from, to } = cellRange(grid, rightMm, leftMm);
  const windowRight = -(strand.windowRightMm[station] as number), windowLeft = strand.windowLeftMm[station] as number;
  let area = 0, first = 0, outside = 0;
  for (let k = from; k < to; k++) {
    const c = station * grid.count + k;
    if (s.tag[c] === EMPTY) continue;
    const b = grid.first + (k + 0.5) * grid.cellMm;
    const a = s.areaMm2[c] as number;
    area += a;
    first += a * b;
    if (b < windowRight || b > windowLeft) outside += a;
  }
  const centroid = first / area;
  let noiseB2 = 0, lengthB2 = 0;
  for (let k = from; k < to; k++) {
    const d = grid.first + (k + 0.5) * grid.cellMm - centroid;
    noiseB2 += d * d * (s.noiseMm4[station * grid.count + k] as number);
    lengthB2 += d * d * grid.cellMm;
  }
  return { area, centroid, outside: Math.max(0, outside), noiseB2, lengthB2 };
}

/** Share of the pitch that a centroid's place stays in doubt by, whatever the noise. */
const PLACE_SHARE = 0.06;

/** u of the centroid: noise levered by its distance, the support's likewise, the flanks' own, and the samples' spacing. */
function offsetU(m: Moments, f: Flanks, edge: number, c: { supportNoise: number; momentDoubt: number; pitch: number; sway: number }): number {
  const lever = (f.left - f.right) / 2;
  return Math.hypot(Math.sqrt(m.noiseB2 + c.supportNoise * m.lengthB2 + c.momentDoubt ** 2 + (edge * lever) ** 2 * (f.uLeft ** 2 + f.uRight ** 2)) / m.area, PLACE_SHARE * c.pitch, c.sway);
}

function crownAt(s: Sections, station: number, c: { shape: BeadShape; middle: number; widthMm: number; supportVariance: number }): { heightMm: number; variance: number } | null {
  const { grid } = s;
  const half = 0.3 * c.widthMm;
  const low = Math.max(c.middle - half, -(s.strand.halfWayRightMm[station] as number)), high = Math.min(c.middle + half, s.strand.halfWayLeftMm[station] as number);
  const { from, to } = cellRange(grid, low, high);
  let n = 0, all = 0;
  for (let k = from; k < to && n < MAX_CELLS; k++) {
    const b = grid.first + (k + 0.5) * grid.cellMm;
    if (b < low || b > high) continue;
    all++;
    const at = station * grid.count + k;
    if (s.tag[at] === EMPTY || (s.coveredMm[at] as number) < 0.5 * grid.cellMm) continue;
    cellB[n] = b - c.middle;
    cellT[n] = (s.areaMm2[at] as number) / grid.cellMm;
    cellV[n++] = (s.noiseMm4[at] as number) / (grid.cellMm * grid.cellMm) + c.supportVariance + 1e-10;
  }
  if (2 * n < all) return null;
  return crownOf({ shape: c.shape, widthMm: c.widthMm, heightMm: s.strand.heightMm[station] as number, count: n, b: cellB, t: cellT, v: cellV });
}

function rootSumOfSquares(budget: Budget): number {
  let sum = 0;
  for (const key of CONTRIBUTIONS) sum += budget[key] * budget[key];
  return Math.sqrt(sum);
}

interface BudgetInput {
  readonly widthMm: number;
  readonly alongDoubt: number;
  readonly supportDoubtMm2: number;
  readonly driftVariance: number; readonly supportNoise: number; readonly flanks: Flanks; readonly edgeMm: number;
  readonly surfaceU: number; readonly contributions: ContributionSwitch;
}

/** Named contributions to the area's uncertainty, mm² (JCGM 100: root sum of squares of independent ones). */
function budgetOf(sums: WindowSums, c: BudgetInput): Budget {
  const seen = (u: number): number => (u === u ? u : 0);
  const all: Record<Contribution, number> = {
    noise: Math.sqrt(sums.noise),
    sampling: Math.hypot(c.alongDoubt, seen(c.flanks.uLeft) * c.edgeMm, seen(c.flanks.uRight) * c.edgeMm, Math.sqrt(Math.max(0, sums.step * sums.step - sums.noise)) / 2),
    support: Math.hypot(Math.sqrt(c.supportNoise * sums.effective + sums.plannedVariance * sums.length * sums.length), c.supportDoubtMm2),
    drift: Math.sqrt(c.driftVariance) * sums.effective,
    holes: Math.sqrt(sums.hole),
    calibration: Math.hypot(Math.SQRT2 * SCALE_U * sums.area, c.surfaceU * c.widthMm),
  };
  for (const key of CONTRIBUTIONS) if (!c.contributions[key]) all[key] = 0;
  return all;
}
