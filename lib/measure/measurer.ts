/**
 * Measures one run: takes its messages in reference order and hands on readings, station by station, and bodies, layer by layer.
 * No clock, no I/O: the same messages give the same readings, bit for bit.
 */
import { cutPaths, buildCutIndex, makeCuts, type CutIndex, type PlanePiece } from "../kernel/planeCut.ts";
import type { Body } from "../model/body.ts";
import type { Job, Profiler } from "../model/job.ts";
import type { ProfileMessage, ProgressMessage, ReworkMessage } from "../model/messages.ts";
import type { Reading } from "../model/reading.ts";
import type { SectionCut } from "../model/sectionCut.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { bodySearch } from "./bodies.ts";
import { findLayerBodies, withMarksKept } from "./layerBodies.ts";
import { AGREE_SIGMAS, buildCharts, freezeSupport, type Chart, type ChartSet } from "./chart.ts";
import { makeCrossing, placeCrossing } from "./crossing.ts";
import { CutKeeper, cutOf } from "./cut.ts";
import { makeEye, type Eye } from "./eye.ts";
import { isCovered, markLaid, reopenStretch } from "./footprint.ts";
import { gridOf, type StrandGrid } from "./grid.ts";
import { LaidStrand } from "./laid.ts";
import type { Line } from "./line.ts";
import { readSection } from "./reading.ts";
import { buildRow } from "./row.ts";
import type { Sections } from "./section.ts";
import { standOnSupport } from "./stationSupport.ts";
import { ALL_CONTRIBUTIONS, type ContributionSwitch } from "./settings.ts";

export interface MeasureOutput {
  reading(strand: StrandStations, station: number, reading: Reading): void;
  /** What lies off the path of a layer, at its end; replaces what was handed on for that layer before. */
  bodies(layer: number, found: readonly Body[]): void;
  /** Where it is there: asked after each good reading; `take` gives the section as the profile nearest to the station showed it. */
  cut?(strand: StrandStations, station: number, reading: Reading, take: () => SectionCut): void;
  /** Where it is there: layer 1 begins, and the charts hold what its strands are laid on. */
  support?(charts: ChartSet, strands: readonly StrandStations[]): void;
}

/** Beyond the profile's own range a strand's top may still be part of what it shows, mm. */
const BESIDE_MM = 2;

export class Measurer {
  readonly laid: readonly LaidStrand[];
  private readonly job: Job;
  private readonly plan: StationPlan;
  private readonly hasProgress: boolean;
  private readonly output: MeasureOutput;
  private readonly contributions: ContributionSwitch;
  private readonly charts: ChartSet;
  private readonly grids: readonly StrandGrid[];
  private readonly eyes = new Map<string, Eye>();
  /** By device; empty where nobody asks for sections. */
  private readonly keepers = new Map<string, CutKeeper>();
  private readonly indexes: (CutIndex | null)[] = [];
  private readonly byLayer: StrandStations[][] = [];
  /** Flanks [right, left] of the newest good reading, for telling a followed bead from a body. */
  private readonly flanks: readonly Float64Array[]; // per strand Float64Array[2 · station]
  private readonly cuts = makeCuts();
  private readonly plane: PlanePiece;
  private readonly crossing;
  private layer = 0;
  /** Noise of a sample in the newest profile. */
  private sigmaMm = 0;

  constructor(plan: StationPlan, job: Job, options: { hasProgress: boolean; output: MeasureOutput; contributions?: ContributionSwitch }) {
    this.job = job;
    this.plan = plan;
    this.hasProgress = options.hasProgress;
    this.output = options.output;
    this.contributions = options.contributions ?? ALL_CONTRIBUTIONS;
    const profilers = job.devices.filter((d): d is Profiler => d.kind === "profiler");
    this.charts = buildCharts(plan, Math.min(...profilers.map((p) => Math.abs(p.dxMm))));
    this.grids = plan.strands.map(gridOf);
    this.laid = plan.strands.map((s) => new LaidStrand(s));
    this.flanks = plan.strands.map((s) => new Float64Array(2 * s.count).fill(Number.NaN));
    for (const s of plan.strands) (this.byLayer[s.layer] ??= []).push(s);
    this.plane = { o: new Float64Array(3), x: new Float64Array(3), y: new Float64Array(3), z: new Float64Array(3), minX: 0, maxX: 0, minZ: 0, maxZ: 0 };
    this.crossing = makeCrossing(plan.strands[0] as StrandStations);
    for (const device of profilers) {
      if (this.output.cut !== undefined) this.keepers.set(device.id, new CutKeeper(this.plan.spacingMm));
      this.eyes.set(device.id, makeEye(device, plan, this.charts.charts, (sections, station) => this.finishStation(device, sections, station)));
    }
  }

  progress(message: ProgressMessage): void {
    if (message.layer > this.layer) this.beginLayer(message.layer);
    const laid = this.laidOf(message.layer, message.strand);
    if (message.event === "start") this.reseat(laid, message.sMm);
    const added = laid.progress(message);
    if (added !== null && message.layer === this.layer) markLaid(this.chartOf(laid.strand), laid.strand, this.plan.spacingMm, added[0], added[1], AGREE_SIGMAS * this.sigmaMm);
  }

  /** A stretch was taken off again: it is bare until it is laid again, on what is seen there after the removal. */
  rework(message: ReworkMessage): void {
    const laid = this.laidOf(message.layer, message.strand);
    for (const station of laid.remove(message.fromMm, message.toMm)) this.flanks[laid.strand.index]?.fill(Number.NaN, 2 * station, 2 * station + 2);
    reopenStretch(this.chartOf(laid.strand), laid.strand, this.plan.spacingMm, message.fromMm, message.toMm, "wipe");
  }

  /** The next attempt begins: what was seen where paste was taken off is its support. */
  private reseat(laid: LaidStrand, fromMm: number): void {
    for (const [from, to] of laid.takeHoles(fromMm)) reopenStretch(this.chartOf(laid.strand), laid.strand, this.plan.spacingMm, from, to, "reseat");
  }

  profile(message: ProfileMessage): void {
    if (message.frame !== "plan") return;
    const eye = this.eyes.get(message.device);
    if (eye === undefined) return;
    if (!this.hasProgress) this.layerWithoutProgress(message.layer);
    const line = eye.preparer.prepare(message);
    eye.ordinal++;
    this.keepers.get(message.device)?.begin(message, eye.ordinal, eye.preparer.cleaned);
    if (line.minZ <= line.maxZ) {
      this.sigmaMm = line.sigmaMm;
      if (this.layer > 0) eye.drift.follow(line, this.charts.charts, message.tS);
      for (const filler of eye.fillers) if (filler.place(line, eye.drift.offsetMm, eye.drift.tilt)) filler.write();
      if (this.layer > 1) this.measureLayer(this.layer - 1, eye, line, message);
      if (this.layer > 0) this.measureLayer(this.layer, eye, line, message);
    }
    eye.joiner.endProfile(eye.ordinal);
  }

  /** Ends every pass under way, so that nothing seen before an event is joined to what is seen after it. */
  endPasses(): void {
    for (const eye of this.eyes.values()) eye.joiner.endAll();
  }

  /** The end of the recording. */
  finish(): void {
    this.endPasses();
    if (this.layer > 0) this.output.bodies(this.layer, this.findLayerBodies());
  }

  /** Without progress a layer counts as laid whole once something of it is seen; null: layer 1. */
  layerWithoutProgress(layer: number | null): void {
    const now = layer ?? 1;
    if (now > this.layer) this.beginLayer(now);
  }

  private beginLayer(layer: number): void {
    this.endPasses();
    if (this.layer > 0) this.output.bodies(this.layer, this.findLayerBodies());
    for (const chart of this.charts.charts) freezeSupport(chart);
    if (this.layer === 0 && layer === 1) this.output.support?.(this.charts, this.byLayer[1] ?? []);
    this.layer = layer;
    if (this.hasProgress) return;
    for (const strand of this.byLayer[layer] ?? []) {
      this.laid[strand.index]?.layWhole();
      markLaid(this.chartOf(strand), strand, this.plan.spacingMm, 0, strand.lengthMm, AGREE_SIGMAS * this.sigmaMm);
    }
  }

  private measureLayer(layer: number, eye: Eye, line: Line, profile: ProfileMessage): void {
    const strands = this.byLayer[layer];
    if (strands === undefined) return;
    const index = (this.indexes[layer] ??= buildCutIndex(strands.map((s) => s.path), strands.map((s) => (s.path.closed ? 0 : prolongation(s)))));
    this.placePlane(line);
    cutPaths(index, this.plane, this.cuts);
    for (let i = 0; i < this.cuts.count; i++) {
      this.measureCut(strands[this.cuts.path[i] as number] as StrandStations, this.cuts.sMm[i] as number, eye, line, profile);
    }
  }

  private measureCut(strand: StrandStations, sMm: number, eye: Eye, line: Line, profile: ProfileMessage): void {
    const laid = this.laid[strand.index] as LaidStrand;
    if (!laid.any || !placeCrossing(this.crossing, strand, sMm, this.plan.spacingMm, line)) return;
    const grid = this.grids[strand.index] as StrandGrid;
    const chart = this.chartOf(strand);
    const row = eye.joiner.borrow(strand, grid);
    row.tS = profile.tS;
    row.seq = profile.seq;
    row.ordinal = eye.ordinal;
    const context = {
      shape: this.plan.beadShape, chart, support: this.supportOf(strand), drift: eye.drift,
      planUMm: this.job.tolerance.motion.registrationNormalMm, laid,
      surfaceBiasMm: this.job.material.translucent ? (eye.device.surfaceBiasMm?.value ?? 0) : 0,
    };
    if (!buildRow(row, this.crossing, line, grid, context)) {
      eye.joiner.release(row);
      return;
    }
    this.keepers.get(eye.device.id)?.note(row, this.crossing, line, { grid, drift: eye.drift });
    eye.joiner.add(row, grid);
  }

  private placePlane(line: Line): void {
    const { plane } = this;
    plane.o.set(line.o);
    plane.x.set(line.ex);
    plane.y.set(line.ey);
    plane.z.set(line.ez);
    plane.minX = line.minX - BESIDE_MM;
    plane.maxX = line.maxX + BESIDE_MM;
    plane.minZ = line.minZ - BESIDE_MM;
    plane.maxZ = line.maxZ + BESIDE_MM;
  }

  private finishStation(device: Profiler, sections: Sections, station: number): void {
    const { strand } = sections;
    if ((this.laid[strand.index] as LaidStrand).laid[station] !== 1) return;
    if (strand.layer < this.layer && isCovered(this.chartOf(strand), strand, station)) return;
    if (strand.layer > 1) standOnSupport(sections, station, { chart: this.chartOf(strand), support: this.supportOf(strand) });
    const reading = readSection(sections, station, {
      shape: this.plan.beadShape, device: device.id, contributions: this.contributions,
      surfaceU: this.job.material.translucent ? (device.surfaceBiasMm?.u ?? 0) : 0,
    });
    if (reading === null) return;
    if (reading.good) {
      const flanks = this.flanks[strand.index] as Float64Array;
      flanks[2 * station] = reading.rightFlankMm;
      flanks[2 * station + 1] = reading.leftFlankMm;
    }
    this.output.reading(strand, station, reading);
    const cut = reading.good ? (this.keepers.get(device.id)?.of(strand, station) ?? null) : null;
    if (cut !== null) this.output.cut?.(strand, station, reading, () => cutOf(cut, strand, station, { device: device.id, attempt: this.laid[strand.index]?.attempt[station] as number, crownMm: reading.heightMm }));
  }

  /** Bodies off the path of the layer being laid, as its map stands now; the map is left as it was. */
  standingBodies(): { readonly layer: number; readonly found: readonly Body[] } | null {
    return this.layer === 0 ? null : { layer: this.layer, found: withMarksKept(this.charts.charts, () => this.findLayerBodies()) };
  }

  private findLayerBodies(): Body[] {
    const strands = this.byLayer[this.layer] ?? [];
    const search = bodySearch(strands, { layer: this.layer, sigmaMm: this.sigmaMm, strayAreaMm2: this.job.tolerance.strayAreaMm2 });
    return findLayerBodies(strands.map((strand) => ({ strand, chart: this.chartOf(strand), flanks: this.flanks[strand.index] as Float64Array })), search);
  }

  private chartOf(strand: StrandStations): Chart {
    return this.charts.charts[this.charts.ofStrand[strand.index] as number] as Chart;
  }

  /** The map of what a strand's layer was laid on. */
  private supportOf(strand: StrandStations): Float32Array {
    const chart = this.chartOf(strand);
    return strand.layer === this.layer ? chart.support : chart.supportBefore;
  }

  private laidOf(layer: number, strand: number): LaidStrand {
    const found = this.byLayer[layer]?.find((s) => s.strand === strand);
    if (found === undefined) throw new RangeError(`no strand ${strand} in layer ${layer}`);
    return this.laid[found.index] as LaidStrand;
  }
}

/** A profile askew by up to 45° reaches a strand's end from as far away as its window is wide. */
function prolongation(strand: StrandStations): number {
  return (strand.widthMm[0] as number) * 1.1 + 0.3;
}
