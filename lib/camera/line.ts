/** A station read in one frame: paste along its lateral in the bead's middle plane, what hides it, and both edges of the bead. */
import { median } from "../kernel/statistics.ts";
import type { Look } from "./look.ts";
import { ABSENT, HIDDEN, PRESENT } from "./scene.ts";
import type { Stage, StageModel } from "./stage.ts";
import type { Station } from "./station.ts";
import { cellOf, isOwn } from "./labels.ts";
import type { View } from "./view.ts";

/** What a place on the line shows by what is known. */
const BLOCKED = 0, OWN = 1, OWN_OVER_OTHER = 2, TARGET = 3, OTHER = 4;

export interface LineReading {
  state: number;
  /** Share of the planned bead's place that paste covers, of what can be decided; NaN: hidden. */
  pasteFraction: number;
  /** Hidden because paste lies behind it as well: in full view, and nothing to tell it by. */
  isUndecided: boolean;
  /** Edges of the bead in the middle plane, mm; NaN: not seen. */
  rightMm: number;
  leftMm: number;
  /** Standard deviation of the blur, mm: the score's range over its steepest rise, as of a normal edge. */
  softMm: number;
  /** Scatter of `score` along the bead's middle, of one line's worth of cells. */
  noise: number;
}

/** The line reaches this far beyond the planned silhouette, mm; on the bead's own window; and steps, cells. */
const BEYOND_MM = 1.1, STEP_CELLS = 0.6;
/** Lines that are averaged, mm along the strand. */
const ALONG_MM = [-0.24, -0.12, 0, 0.12, 0.24];
/** Hidden where more than this share of the bead's place is behind something, or less than that can be decided. */
const MOST_BLOCKED = 0.5, LEAST_DECIDED = 0.3;
/** Target that stands nearer to the camera than the bead by more than this hides it, mm. */
const RIDGE_MM = 0.4;
/** Bare target is looked for from here to there beyond the edge, mm. */
const BARE_FROM_MM = 0.15, BARE_TO_MM = 0.6;
const LEAST_BARE = 3;
/** So far from an edge neither side is mixed with the other, mm. */
const LIGHT_MM = 0.18;

export interface LineInput { readonly model: StageModel; readonly stage: Stage; readonly view: View; readonly look: Look; readonly cellMm: number; readonly gapRatio: number }

export class LineReader {
  private kinds = new Uint8Array(64);
  private scores = new Float64Array(64);
  private places = new Float64Array(64);

  constructor(private readonly by: LineInput) {}

  read(station: Station): LineReading {
    const low = station.rightMm - BEYOND_MM, high = station.leftMm + BEYOND_MM, step = STEP_CELLS * this.by.cellMm, count = Math.ceil((high - low) / step) + 1;
    this.take(station, low, step, count);
    const decided = this.decide(station, count);
    const reading: LineReading = { ...decided, rightMm: Number.NaN, leftMm: Number.NaN, softMm: decided.state === PRESENT ? this.softness(count) : Number.NaN, noise: Number.NaN };
    if (decided.state === PRESENT) this.edges(station, count, reading);
    return reading;
  }

  /** Kinds and mean scores of all places. */
  private take(station: Station, low: number, step: number, count: number): void {
    if (this.kinds.length < count) { this.kinds = new Uint8Array(2 * count); this.scores = new Float64Array(2 * count); this.places = new Float64Array(2 * count); }
    for (let j = 0; j < count; j++) {
      const b = low + j * step, [column, row] = station.cellAt(b, station.inwardMm);
      this.places[j] = b;
      this.kinds[j] = this.kindAt(station, cellOf(this.by.view, column, row));
      this.scores[j] = this.kinds[j] === BLOCKED ? Number.NaN : this.meanScore(station, b);
      if (this.scores[j] !== this.scores[j]) this.kinds[j] = BLOCKED;
    }
  }

  private meanScore(station: Station, b: number): number {
    let sum = 0, n = 0;
    for (const along of ALONG_MM) {
      const [column, row] = station.cellAt(b, station.inwardMm + along), s = this.scoreAt(column, row);
      if (s === s) { sum += s; n++; }
    }
    return n === 0 ? Number.NaN : sum / n;
  }

  /** Between four cells; NaN where one of them is not known. */
  private scoreAt(column: number, row: number): number {
    const { width, height } = this.by.view, c = Math.floor(column), r = Math.floor(row), fc = column - c, fr = row - r;
    if (!(c >= 0 && r >= 0 && c < width - 1 && r < height - 1)) return Number.NaN;
    const at = r * width + c, { score } = this.by.look;
    return (1 - fr) * ((1 - fc) * score[at]! + fc * score[at + 1]!) + fr * ((1 - fc) * score[at + width]! + fc * score[at + width + 1]!);
  }

  private kindAt(station: Station, at: number): number {
    if (at < 0 || this.by.look.strange[at] === 1) return BLOCKED;
    const { layers, ids } = this.by.stage, id = layers.id1[at]!;
    if (id < 0 || id === ids.nozzle) return BLOCKED;
    if (isOwn(this.by.model, id, station.index)) {
      const behind = layers.id2[at]!;
      return behind >= 0 && behind < ids.strip ? OWN_OVER_OTHER : OWN;
    }
    if (id >= ids.strip) return 1 / layers.inverse1[at]! < 1 / station.inverse - RIDGE_MM ? BLOCKED : TARGET;
    return layers.inverse1[at]! > station.inverse ? BLOCKED : OTHER;
  }

  /** Present, absent or hidden. */
  private decide(station: Station, count: number): { state: number; pasteFraction: number; isUndecided: boolean } {
    const { threshold } = this.by.look;
    let own = 0, blocked = 0, decided = 0, paste = 0;
    for (let j = 0; j < count; j++) {
      const b = this.places[j]!, kind = this.kinds[j]!, isPlanned = b >= station.rightMm && b <= station.leftMm;
      if (isPlanned) {
        own++;
        if (kind === BLOCKED) blocked++;
      } else if (b < station.rightMm - station.beyondRightMm || b > station.leftMm + station.beyondLeftMm) continue;
      if (kind !== OWN && kind !== TARGET) continue;
      if (isPlanned) decided++;
      if (this.scores[j]! > threshold) paste++;
    }
    const isBlocked = own === 0 || blocked > MOST_BLOCKED * own;
    if (isBlocked || decided < LEAST_DECIDED * own) return { state: HIDDEN, pasteFraction: Number.NaN, isUndecided: !isBlocked };
    const pasteFraction = Math.min(1, paste / decided);
    return { state: pasteFraction < this.by.gapRatio ? ABSENT : PRESENT, pasteFraction, isUndecided: false };
  }

  /** Both edges, where the score crosses half-way between the bead and the target beside that edge. */
  private edges(station: Station, count: number, reading: LineReading): void {
    const middle = this.middleOf(station, count);
    if (middle < 0) return;
    const level = this.levelNear(middle, station);
    if (level !== level) return;
    const right = this.edge(station, middle, -1, count, level), left = this.edge(station, middle, 1, count, level);
    if (right === null || left === null) return;
    reading.rightMm = right;
    reading.leftMm = left;
    reading.noise = this.by.look.noise;
  }

  /** The place in the middle of the run of paste that lies nearest to where the bead ought to be. */
  private middleOf(station: Station, count: number): number {
    const centre = station.offsetMm + (station.leftMm + station.rightMm) / 2;
    let best = -1, least = Infinity;
    for (let j = 0; j < count; j++) {
      if (!(this.scores[j]! > this.by.look.threshold) || this.kinds[j] === OTHER) continue;
      let end = j;
      while (end + 1 < count && this.scores[end + 1]! > this.by.look.threshold && this.kinds[end + 1] !== OTHER) end++;
      const place = (this.places[j]! + this.places[end]!) / 2, away = Math.abs(place - centre);
      if (end - j >= 2 && away < least) { least = away; best = (j + end) >> 1; }
      j = end;
    }
    return best;
  }

  /** Median score of the bead's middle half. */
  private levelNear(middle: number, station: Station): number {
    const half = Math.max(1, Math.round(0.25 * (station.leftMm - station.rightMm) / (STEP_CELLS * this.by.cellMm)));
    return median(Float64Array.from(this.scores.subarray(Math.max(0, middle - half), middle + half + 1)).filter((s) => s > this.by.look.threshold));
  }

  /** Lateral place of the edge on one side; null: it is not seen. */
  private edge(station: Station, middle: number, side: 1 | -1, count: number, level: number): number | null {
    let j = middle;
    while (j >= 0 && j < count && this.isBead(j)) j += side;
    if (!(j >= 0 && j < count) || this.kinds[j] === BLOCKED || this.kinds[j] === OTHER) return null;
    const bare = this.bareBeyond(j, side, count);
    if (bare !== bare) return null;
    const b = this.places[j]!, half = this.by.look.halfAndHalf(this.lightAt(station, b - side * LIGHT_MM), this.lightAt(station, b + side * LIGHT_MM)), at = bare + (half === half ? half : 0.5) * (level - bare);
    // from the bare side inwards, so that a highlight or a dull flank on the bead is no edge
    for (let k = j + side * Math.round(0.3 / (STEP_CELLS * this.by.cellMm)); k !== middle; k -= side) {
      if (!(k >= 0 && k < count)) continue;
      const outer = this.scores[k]!, inner = this.scores[k - side]!;
      if (outer < at && inner >= at) return this.places[k]! - (this.places[k]! - this.places[k - side]!) * (at - outer) / (inner - outer);
    }
    return null;
  }

  private lightAt(station: Station, b: number): number {
    const [column, row] = station.cellAt(b, station.inwardMm), at = cellOf(this.by.view, column, row);
    return at < 0 ? Number.NaN : this.by.look.brightness(at);
  }

  private softness(count: number): number {
    let low = Infinity, high = -Infinity, steepest = 0;
    for (let j = 0; j < count; j++) {
      const s = this.scores[j]!, before = this.scores[j - 2];
      if (s !== s || this.kinds[j] === OTHER) continue;
      low = Math.min(low, s);
      high = Math.max(high, s);
      if (before !== undefined && before === before) steepest = Math.max(steepest, Math.abs(s - before) / (this.places[j]! - this.places[j - 2]!));
    }
    return steepest > 0 ? (high - low) / steepest / Math.sqrt(2 * Math.PI) : Number.NaN;
  }

  private isBead(j: number): boolean {
    return this.scores[j]! > this.by.look.threshold && this.kinds[j] !== OTHER && this.kinds[j] !== BLOCKED;
  }

  /** Median score of bare target beyond the edge at place j; NaN: too little of it is seen. */
  private bareBeyond(j: number, side: 1 | -1, count: number): number {
    const step = STEP_CELLS * this.by.cellMm, values: number[] = [];
    let hasTarget = false; // between touching beads a dull seam is no target
    for (let k = j + side * Math.round(BARE_FROM_MM / step); k >= 0 && k < count && Math.abs(k - j) <= BARE_TO_MM / step; k += side) {
      if (this.kinds[k] !== TARGET && this.kinds[k] !== OWN) break;
      if (!(this.scores[k]! < this.by.look.threshold)) continue;
      values.push(this.scores[k]!);
      hasTarget ||= this.kinds[k] === TARGET;
    }
    return !hasTarget || values.length < LEAST_BARE ? Number.NaN : median(values);
  }
}

/**
 * A strand that is present on both sides of a place where paste lies beneath it as well, no longer than a bead is wide, is taken as present there: what is
 * shorter than that is no gap. `lines` in the order of `stations`; changed in place. Widths stay unknown there.
 */
export function bridgeUndecided(stations: readonly Station[], lines: readonly LineReading[], strandOf: Int32Array, spacingMm: number): void {
  for (let i = 0; i < lines.length; i++) {
    if (lines[i]?.isUndecided !== true) continue;
    let last = i;
    while (lines[last + 1]?.isUndecided === true && isNext(stations, last, strandOf)) last++;
    const [before, after] = [lines[i - 1], lines[last + 1]], isBetween = before?.state === PRESENT && after?.state === PRESENT && isNext(stations, i - 1, strandOf) && isNext(stations, last, strandOf);
    if (isBetween && (last - i + 1) * spacingMm <= (stations[i] as Station).plannedWidthMm + spacingMm / 2) {
      for (const line of lines.slice(i, last + 1)) {
        line.state = PRESENT;
        line.pasteFraction = Math.min(before.pasteFraction, after.pasteFraction);
      }
    }
    i = last;
  }
}

/** Whether the station after place i is the next on the same strand. */
function isNext(stations: readonly Station[], i: number, strandOf: Int32Array): boolean {
  const [a, b] = [stations[i], stations[i + 1]];
  return a !== undefined && b !== undefined && b.index === a.index + 1 && strandOf[a.index] === strandOf[b.index];
}
