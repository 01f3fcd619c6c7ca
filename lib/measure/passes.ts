import type { StrandStations } from "../model/stations.ts";
import { cellRange, type StrandGrid } from "./grid.ts";
import { makeRow, type Row } from "./row.ts";
import { BETWEEN, clearSection, doubtAlong, makeSections, noteDoubt, putBetween, putNearest, type Sections } from "./section.ts";
import { passGapMm } from "./settings.ts";

/** A run of consecutive profiles of one device along one strand. */
interface Track {
  readonly state: StrandPasses;
  last: Row;
  /** Stations touched and not yet finished. */
  readonly open: number[];
  /** Stations read between two rows in this pass: one row near by does not read them again. */
  readonly done: Set<number>;
  /** What the last pair of rows left in doubt along the strand, and the stations between them. */
  doubtMm2: number;
  between: number[];
}

/** Half a spacing, and the thousandths that rounding and a strand's very end may take. */
function nearestMm(spacingMm: number): number {
  return spacingMm / 2 + 0.005;
}

/** The passes of one device over one strand. */
interface StrandPasses {
  readonly strand: StrandStations;
  readonly grid: StrandGrid;
  sections: Sections | null;
  readonly tracks: Track[];
}

/**
 * Joins the rows of one device into passes, strand by strand, and hands on each station's section once the pass has gone by it.
 * Consecutive profiles whose cuts lie at most `passGapMm` apart are of one pass; a strand that doubles back has several at once.
 */
export class PassJoiner {
  private readonly byStrand = new Map<number, StrandPasses>();
  private active: Track[] = [];
  private readonly pool = new Map<number, Row[]>();
  private readonly spacingMm: number;
  private readonly finished: (sections: Sections, station: number) => void;

  constructor(spacingMm: number, finished: (sections: Sections, station: number) => void) {
    this.spacingMm = spacingMm;
    this.finished = finished;
  }

  /** An empty row to fill; hand it to `add` or back with `release`. */
  borrow(strand: StrandStations, grid: StrandGrid): Row {
    return this.pool.get(strand.index)?.pop() ?? makeRow(strand, grid);
  }

  release(row: Row): void {
    const free = this.pool.get(row.strand.index);
    if (free === undefined) this.pool.set(row.strand.index, [row]);
    else free.push(row);
  }

  /** Takes a row whose ordinal, time and place are set. */
  add(row: Row, grid: StrandGrid): void {
    const state = this.stateOf(row.strand, grid);
    state.sections ??= makeSections(row.strand, grid);
    const track = this.trackFor(state, row);
    if (track === null) {
      const fresh: Track = { state, last: row, open: [], done: new Set(), doubtMm2: 0, between: [] };
      state.tracks.push(fresh);
      this.active.push(fresh);
      this.touchNearest(fresh, row);
      return;
    }
    const before = track.last;
    track.last = row;
    this.touchBetween(track, before, row);
    this.touchNearest(track, row);
    this.finishPassed(track, before, row);
    this.release(before);
  }

  /** A profile has been dealt with: passes that it did not continue are over. */
  endProfile(ordinal: number): void {
    let over = false;
    for (const track of this.active) if (track.last.ordinal !== ordinal) { this.end(track); over = true; }
    if (over) this.active = this.active.filter((t) => t.last.ordinal === ordinal);
  }

  /** No more profiles. */
  endAll(): void {
    for (const track of this.active) this.end(track);
    this.active = [];
  }

  private end(track: Track): void {
    for (const station of track.open) this.finish(track.state, station);
    track.open.length = 0;
    this.release(track.last);
    const { tracks } = track.state;
    tracks.splice(tracks.indexOf(track), 1);
    if (tracks.length === 0) track.state.sections = null;
  }

  private stateOf(strand: StrandStations, grid: StrandGrid): StrandPasses {
    let state = this.byStrand.get(strand.index);
    if (state === undefined) {
      state = { strand, grid, sections: null, tracks: [] };
      this.byStrand.set(strand.index, state);
    }
    return state;
  }

  /** The pass that this row continues: of the profile just before, and nearest along the strand. */
  private trackFor(state: StrandPasses, row: Row): Track | null {
    let best: Track | null = null;
    let bestMm = passGapMm(this.spacingMm);
    for (const track of state.tracks) {
      if (track.last.ordinal !== row.ordinal - 1) continue;
      let d = Math.abs(track.last.sMm - row.sMm);
      if (state.strand.path.closed) d = Math.min(d, state.strand.lengthMm - d);
      if (d <= bestMm) { best = track; bestMm = d; }
    }
    return best;
  }

  private touchBetween(track: Track, a: Row, b: Row): void {
    const [lowA, highA] = extent(a), [lowB, highB] = extent(b);
    const low = Math.min(lowA, lowB), high = Math.max(highA, highB);
    if (high - low > track.state.strand.lengthMm / 2 && track.state.strand.path.closed) return; // over the seam: its stations are reached one-sided
    const sections = track.state.sections as Sections;
    const doubt = doubtAlong(a, b);
    for (const station of track.between) if (track.open.includes(station)) noteDoubt(sections, station, doubt);
    track.between = [];
    this.eachStation(track.state.strand, low, high, (station) => {
      if (!putBetween(sections, a, b, station)) return;
      open(track, station);
      track.between.push(station);
      noteDoubt(sections, station, Math.max(doubt, track.doubtMm2));
    });
    track.doubtMm2 = doubt;
  }

  private touchNearest(track: Track, row: Row): void {
    const [low, high] = extent(row);
    const within = nearestMm(this.spacingMm);
    this.eachStation(track.state.strand, low - within, high + within, (station) => {
      if (track.done.has(station) && !track.open.includes(station)) return;
      if (putNearest(track.state.sections as Sections, row, station, within)) open(track, station);
    });
  }

  /** Stations that lie beside both of the newest two rows are done; one not wholly between rows might still be reached from half a spacing away. */
  private finishPassed(track: Track, before: Row, row: Row): void {
    const [lowA, highA] = extent(before), [lowB, highB] = extent(row);
    const low = Math.min(lowA, lowB), high = Math.max(highA, highB);
    const within = nearestMm(this.spacingMm);
    let kept = 0;
    for (const station of track.open) {
      const s = track.state.strand.sMm[station] as number;
      const whole = this.whole(track.state, station);
      const far = s < low - within || s > high + within || (whole && (s < low || s > high));
      if (whole && far) track.done.add(station);
      if (far) this.finish(track.state, station);
      else track.open[kept++] = station;
    }
    track.open.length = kept;
  }

  /** Every cell of the station's window lies between two rows. */
  private whole(state: StrandPasses, station: number): boolean {
    const sections = state.sections as Sections;
    const { from, to } = cellRange(state.grid, -(state.strand.windowRightMm[station] as number), state.strand.windowLeftMm[station] as number);
    const base = station * state.grid.count;
    for (let k = from; k < to; k++) if (sections.tag[base + k] !== BETWEEN) return false;
    return true;
  }

  private finish(state: StrandPasses, station: number): void {
    const sections = state.sections as Sections;
    this.finished(sections, station);
    clearSection(sections, station);
  }

  private eachStation(strand: StrandStations, low: number, high: number, visit: (station: number) => void): void {
    if (!(low <= high)) return;
    const first = Math.max(0, Math.ceil(low / this.spacingMm - 1e-9));
    for (let i = first; i < strand.count; i++) {
      if ((strand.sMm[i] as number) > high) break;
      visit(i);
    }
    const last = strand.count - 1;
    if (first > last && (strand.sMm[last] as number) >= low && (strand.sMm[last] as number) <= high) visit(last);
  }
}

function open(track: Track, station: number): void {
  if (!track.open.includes(station)) track.open.push(station);
}

/** Least and greatest arc length among a row's cells; [Infinity, −Infinity] where none is valid. */
function extent(row: Row): [number, number] {
  let low = Infinity, high = -Infinity;
  for (let k = row.from; k < row.to; k++) {
    const s = row.along[k] as number;
    if (s < low) low = s;
    if (s > high) high = s;
  }
  return [low, high];
}

