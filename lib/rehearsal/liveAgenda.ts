/** What is to be done next: every stretch of the plan that is free (never laid, or taken off) from a place on, in the plan's order, and the scans that are owed before it. */
import type { PlannedStrand } from "./planned.ts";
import type { Pass } from "./schedule.ts";

/** A piece of a strand, arc lengths in mm. */
export interface Stretch { readonly strand: PlannedStrand; readonly fromMm: number; readonly toMm: number }
/** A travel of the profilers that has no time yet. */
export type ScanPass = Omit<Pass, "startS">;
/** What is to be done: a pass to run or a stretch to lay. */
export type Task = { readonly kind: "scan"; readonly pass: ScanPass } | { readonly kind: "lay"; readonly stretch: Stretch };

/** A gap shorter than this is none, mm. */
const LEAST_MM = 0.05;

interface Owed { readonly pass: ScanPass; readonly beforeLayer: number }

/** What of the plan lies, what is free, and what is owed; strands by their index in the plan's order. */
export class Agenda {
  readonly strands: readonly PlannedStrand[];
  private readonly laidMm: [number, number][][];
  private readonly removals: number[];
  private owed: Owed[] = [];
  private at = 0;
  private fromMm = 0;

  constructor(strands: readonly PlannedStrand[]) {
    this.strands = strands;
    this.laidMm = strands.map(() => []);
    this.removals = strands.map(() => 0);
  }

  /** null: all is done. */
  next(): Task | null {
    const stretch = this.nextStretch(), first = this.owed[0];
    if (first !== undefined && (stretch === null || stretch.strand.layer >= first.beforeLayer)) return { kind: "scan", pass: first.pass };
    return stretch === null ? null : { kind: "lay", stretch };
  }

  nextStretch(): Stretch | null {
    for (let i = this.at; i < this.strands.length; i++) {
      const free = this.free(i, i === this.at ? this.fromMm : 0);
      if (free !== null) return { strand: this.strands[i] as PlannedStrand, fromMm: free[0], toMm: free[1] };
    }
    return null;
  }

  /** These passes have to be run before anything of that layer is laid. */
  owe(passes: readonly ScanPass[], beforeLayer: number): void {
    this.owed = [...this.owed, ...passes.map((pass) => ({ pass, beforeLayer }))].sort((a, b) => a.beforeLayer - b.beforeLayer);
  }
  owes(beforeLayer: number): boolean { return this.owed.some((one) => one.beforeLayer === beforeLayer); }
  scanned(pass: ScanPass): void { this.owed = this.owed.filter((one) => one.pass !== pass); }

  indexOf(layer: number, strand: number): number {
    return this.strands.findIndex((one) => one.layer === layer && one.strand === strand);
  }

  /** Goes on from there. */
  goTo(index: number, sMm: number): void {
    this.at = index;
    this.fromMm = sMm;
  }

  laid(index: number, fromMm: number, toMm: number): void {
    const all = [...(this.laidMm[index] as [number, number][]), [fromMm, toMm] as [number, number]].sort((a, b) => a[0] - b[0]);
    const merged: [number, number][] = [];
    for (const [from, to] of all) {
      const last = merged.at(-1);
      if (last !== undefined && from <= last[1] + 1e-6) last[1] = Math.max(last[1], to);
      else merged.push([from, to]);
    }
    this.laidMm[index] = merged;
  }

  removed(index: number, fromMm: number, toMm: number): void {
    this.removals[index] = (this.removals[index] as number) + 1;
    this.laidMm[index] = (this.laidMm[index] as [number, number][]).flatMap(([from, to]): [number, number][] => [[from, Math.min(to, fromMm)], [Math.max(from, toMm), to]]).filter(([from, to]) => to > from);
  }

  /** The laid stretch that holds a place, null where nothing lies. */
  laidAt(index: number, sMm: number): readonly [number, number] | null {
    return (this.laidMm[index] as [number, number][]).find(([from, to]) => sMm >= from && sMm < to) ?? null;
  }
  /** Whether anything lies between two places. */
  laidBetween(index: number, fromMm: number, toMm: number): boolean {
    return (this.laidMm[index] as [number, number][]).some(([from, to]) => from < toMm && to > fromMm);
  }
  /** Attempt that is laid next on a strand, from 1. */
  attempt(index: number): number { return (this.removals[index] as number) + 1; }
  /** Length laid and not taken off, all strands, mm. */
  get laidLengthMm(): number { return this.laidMm.flat().reduce((sum, [from, to]) => sum + to - from, 0); }

  private free(index: number, fromMm: number): [number, number] | null {
    const { lengthMm } = this.strands[index] as PlannedStrand;
    let from = fromMm;
    for (const [a, b] of this.laidMm[index] as [number, number][]) {
      if (a - from >= LEAST_MM) return [from, a];
      from = Math.max(from, b);
    }
    return lengthMm - from >= LEAST_MM ? [from, lengthMm] : null;
  }
}
