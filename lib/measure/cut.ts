/** Keeps, while stations are open, what the profile nearest to each of them showed, so that its section can be drawn. Only where somebody asks for sections. */
import { orNull } from "../base/missing.ts";
import type { ProfileMessage } from "../model/messages.ts";
import type { SupportKind } from "../model/result.ts";
import type { CutPoint, SectionCut } from "../model/sectionCut.ts";
import type { StrandStations } from "../model/stations.ts";
import { makeSamples, slantOf, takeSamples, type Crossing, type Samples } from "./crossing.ts";
import type { StrandGrid } from "./grid.ts";
import type { Line } from "./line.ts";
import type { Row } from "./row.ts";
import { HOLLOW, PLANNED } from "./rowSupport.ts";
import { passGapMm } from "./settings.ts";

/** One profile's cut through one strand, kept until its stations are finished. */
export interface RowCut {
  readonly sMm: number;
  readonly slant: SectionCut["slant"];
  readonly seq: number; readonly tS: number;
  readonly points: readonly CutPoint[];
  readonly usedCount: number; readonly notUsedCount: number;
  readonly support: SectionCut["support"];
  readonly flanks: SectionCut["flanks"];
}

/** So many of each at most: a station's blob then stays under a kilobyte. */
const MOST_USED = 160;
const MOST_NOT_USED = 32;
const MOST_SUPPORTS = 64;

interface Held { cut: RowCut; awayMm: number; touched: number }

const samples: Samples = makeSamples();
const outliers: Samples = makeSamples();

/** The rows of one device that are nearest to the stations it is passing. */
export class CutKeeper {
  private readonly held = new Map<number, Map<number, Held>>(); // by strand and station
  private readonly spacingMm: number;
  private readonly gapMm: number;
  private ordinal = 0;
  private seq = 0;
  private tS = 0;
  /** Samples of the newest profile that came and were taken out. */
  private outX = new Float64Array(0);
  private outZ = new Float64Array(0);
  private outCount = 0;

  constructor(spacingMm: number) {
    this.spacingMm = spacingMm;
    this.gapMm = passGapMm(spacingMm);
  }

  /** A profile begins; what no pass has touched since the one before the last is forgotten. */
  begin(message: ProfileMessage, ordinal: number, cleaned: { readonly x: Float64Array; readonly z: Float64Array; readonly count: number }): void {
    this.ordinal = ordinal;
    this.seq = message.seq;
    this.tS = message.tS;
    this.findTakenOut(message, cleaned);
    for (const stations of this.held.values()) {
      for (const [station, one] of stations) if (one.touched < ordinal - 1) stations.delete(station);
    }
  }

  private findTakenOut(message: ProfileMessage, cleaned: { readonly x: Float64Array; readonly z: Float64Array; readonly count: number }): void {
    const { zMm, xMm } = message;
    if (this.outX.length < cleaned.count) {
      this.outX = new Float64Array(cleaned.count);
      this.outZ = new Float64Array(cleaned.count);
    }
    const order = xMm === null ? null : Array.from(xMm.keys()).sort((p, q) => (xMm[p] as number) - (xMm[q] as number));
    this.outCount = 0;
    for (let i = 0; i < cleaned.count; i++) {
      const z = zMm[order === null ? i : (order[i] as number)] as number, kept = cleaned.z[i] as number;
      if (z !== z || kept === kept) continue;
      this.outX[this.outCount] = cleaned.x[i] as number;
      this.outZ[this.outCount++] = z;
    }
  }

  /** A row was built: it is kept for every station in its reach that it is nearest to in this pass. */
  note(row: Row, c: Crossing, line: Line, by: { readonly grid: StrandGrid; readonly drift: { readonly offsetMm: number; readonly tilt: number } }): void {
    const { strand } = row;
    let low = row.sMm, high = row.sMm;
    for (let k = row.from; k < row.to; k++) {
      const s = row.along[k] as number;
      if (s < low) low = s;
      if (s > high) high = s;
    }
    let stations = this.held.get(strand.index);
    if (stations === undefined) this.held.set(strand.index, stations = new Map());
    let cut: RowCut | null = null;
    for (let i = Math.max(0, Math.min(strand.count - 1, Math.floor((low - this.gapMm) / this.spacingMm))); i < strand.count; i++) {
      const s = strand.sMm[i] as number;
      if (s > high + this.gapMm) break;
      const awayMm = this.away(strand, s - row.sMm);
      const before = stations.get(i);
      if (before !== undefined) before.touched = this.ordinal;
      if (before !== undefined && before.awayMm <= awayMm) continue;
      cut ??= this.cutOfRow(row, c, line, by);
      stations.set(i, { cut, awayMm, touched: this.ordinal });
    }
  }

  private away(strand: StrandStations, mm: number): number {
    const size = Math.abs(mm);
    return strand.path.closed ? Math.min(size, Math.abs(strand.lengthMm - size)) : size;
  }

  /** The row nearest to a station in the pass that has just gone by it; null: none was near. */
  of(strand: StrandStations, station: number): RowCut | null {
    return this.held.get(strand.index)?.get(station)?.cut ?? null;
  }

  private cutOfRow(row: Row, c: Crossing, line: Line, { grid, drift }: { readonly grid: StrandGrid; readonly drift: { readonly offsetMm: number; readonly tilt: number } }): RowCut {
    takeSamples(samples, c, line, drift, grid.cellMm);
    takeSamples(outliers, c, { ...line, x: this.outX, z: this.outZ, count: this.outCount }, drift, grid.cellMm);
    const used: CutPoint[] = [], not: CutPoint[] = pointsOf(outliers, () => false);
    for (const point of pointsOf(samples, (b) => counts(row, grid, b))) (point.used ? used : not).push(point);
    const points = [...evenly(used, MOST_USED), ...evenly(not, MOST_NOT_USED)].sort((p, q) => p.bMm - q.bMm);
    return {
      sMm: row.sMm, slant: slantOf(c), seq: this.seq, tS: this.tS, points, usedCount: used.length, notUsedCount: not.length, support: supportOf(row, grid),
      flanks: { rightMm: orNull(row.rightMm), leftMm: orNull(row.leftMm) },
    };
  }
}

function pointsOf(s: Samples, used: (b: number) => boolean): CutPoint[] {
  return Array.from({ length: s.count }, (_, j) => ({ bMm: s.b[j] as number, nMm: s.n[j] as number, used: used(s.b[j] as number) }));
}

/** A sample counts where its cell has a place along what is laid of the strand. */
function counts(row: Row, grid: StrandGrid, b: number): boolean {
  const k = Math.floor((b - grid.first) / grid.cellMm);
  const along = row.along[Math.max(row.from, Math.min(row.to - 1, k))] as number;
  return along === along;
}

/** At most `most` of a list, evenly spread over it. */
function evenly<T>(list: readonly T[], most: number): readonly T[] {
  return list.length <= most ? list : Array.from({ length: most }, (_, i) => list[Math.floor(i * list.length / most)] as T);
}

function supportOf(row: Row, grid: StrandGrid): SectionCut["support"] {
  const step = Math.max(1, Math.ceil((row.to - row.from) / MOST_SUPPORTS));
  const cells = Array.from({ length: Math.ceil((row.to - row.from) / step) }, (_, i) => row.from + i * step);
  return cells.map((k) => ({ bMm: grid.first + (k + 0.5) * grid.cellMm, nMm: row.nMm[k] as number, kind: kindOf(row.kind[k] as number) }));
}

function kindOf(kind: number): SupportKind {
  return kind === HOLLOW ? "spanned" : kind === PLANNED ? "planned" : "measured";
}

/** The section of a station as that row shows it. */
export function cutOf(cut: RowCut, strand: StrandStations, station: number, of: { readonly device: string; readonly attempt: number; readonly crownMm: number }): SectionCut {
  return {
    layer: strand.layer, strand: strand.strand, attempt: of.attempt, stationIndex: station, device: of.device, seq: cut.seq, tS: cut.tS,
    alongMm: alongOf(cut.sMm - (strand.sMm[station] as number), strand), slant: cut.slant, points: cut.points, usedCount: cut.usedCount, notUsedCount: cut.notUsedCount, support: cut.support, flanks: cut.flanks,
    crownMm: orNull(of.crownMm), window: { rightMm: -(strand.windowRightMm[station] as number), leftMm: strand.windowLeftMm[station] as number },
  };
}

/** On a ring the way over the seam is the shorter one. */
function alongOf(mm: number, { path, lengthMm }: StrandStations): number {
  if (!path.closed || Math.abs(mm) <= lengthMm / 2) return mm;
  return mm > 0 ? mm - lengthMm : mm + lengthMm;
}
