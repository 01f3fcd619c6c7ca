/** One stretch while it is laid: where the nozzle is on the strand, how much paste leaves it, and the progress rows. Pure: times are those of the move. */
import { laidAreaMm2 } from "../formula/bead.ts";
import type { ProgressMessage } from "../model/messages.ts";
import type { Stretch } from "./liveAgenda.ts";
import type { Extruder } from "./liveExtruder.ts";
import type { Growing, LivePaste } from "./livePaste.ts";
import type { Move } from "./liveTool.ts";
import type { RehearsalSettings } from "./settings.ts";
import { cellOf } from "./track.ts";

/** Progress rows come at 25 Hz. */
const ROW_EVERY_S = 0.04;
/** The nozzle stands with flow before it begins to move: fills the lag, and leaves a small blob, spread over so much of the strand. */
export const PRIME_S = 0.05;
const BLOB_MM = 0.3;
/** Before paste that lies, so much of a stretch is laid with the flow turned down ahead: longer than braking takes. */
const JOINT_MM = 1;
/** A cell of paste is at least so long, so that its volume means an area. */
const LEAST_CELL_MM = 0.05;

/** Whether what would be left after a cell is too short to be one. */
function isSliver(leftMm: number): boolean { return leftMm > 1e-9 && leftMm < LEAST_CELL_MM; }

interface Parts {
  readonly settings: RehearsalSettings;
  readonly stretch: Stretch;
  readonly growing: Growing;
  readonly paste: LivePaste;
  readonly extruder: Extruder;
  /** Share of the planned flow over a piece of the strand that begins at s. */
  readonly flowRatio: (sMm: number, lengthMm: number) => number;
  /** Arc length where the nozzle begins its way: the stretch's own beginning, or before it with an overlap. */
  readonly baseMm: number;
}

/** From the moment that the nozzle stands over the stretch until its move is over. Ask in order of time. */
export class Laying {
  readonly stretch: Stretch;
  private readonly parts: Parts;
  private readonly areaMm2: number;
  private move: Move;
  private baseMm: number;
  private node: number;
  private cellFromMm: number;
  private rowS = Number.NaN;
  private begun = false;
  private primedMm3 = 0;

  constructor(parts: Parts, move: Move) {
    const { settings, stretch } = parts;
    this.parts = parts;
    this.stretch = stretch;
    this.areaMm2 = laidAreaMm2(settings.shape, settings.widthMm, settings.heightMm);
    this.move = move;
    this.baseMm = parts.baseMm;
    this.node = cellOf(stretch.strand.arcMm, stretch.fromMm);
    this.cellFromMm = stretch.fromMm;
  }

  /** Goes on with another move from time tS on (a brake). */
  turnTo(move: Move, tS: number): void {
    this.baseMm = this.sAt(tS);
    this.move = move;
  }

  sAt(tS: number): number { return this.baseMm + this.move.ramp.sAt(tS - this.move.startS); }
  /** Volume flow that is asked for now: plan times speed, mm³/s. */
  askedMm3S(tS: number): number { return this.areaMm2 * this.move.ramp.speedAt(tS - this.move.startS); }
  /** Whether paste of this stretch lies on the strand. */
  get laying(): boolean { return this.begun; }

  /** Lays every cell that the nozzle has entered by now, each whole, one node ahead. */
  layTo(tS: number): void {
    const { stretch: { strand, fromMm }, growing, paste, extruder } = this.parts, { arcMm } = strand, last = arcMm.length - 1;
    const reachMm = Math.min(this.stretch.toMm, this.baseMm + this.move.ramp.lengthMm), sMm = Math.min(reachMm, this.sAt(tS));
    if (sMm < fromMm || (!this.begun && tS < this.startS)) return;
    while (this.cellFromMm <= sMm && this.cellFromMm < reachMm - 1e-9) {
      const isFirst = this.cellFromMm === fromMm;
      let end = this.node + 1;
      while (end < last && ((arcMm[end] as number) - this.cellFromMm < LEAST_CELL_MM || isSliver(reachMm - (arcMm[end] as number)))) end++;
      const toMm = Math.min(arcMm[end] as number, reachMm), lengthMm = toMm - this.cellFromMm;
      const afterS = Math.max(1e-9, this.timeAt(toMm) - this.timeAt(this.cellFromMm));
      const wanted = this.areaMm2 * lengthMm / afterS * this.parts.flowRatio(this.cellFromMm, lengthMm);
      if (isFirst) this.primedMm3 = this.prime();
      let volume = extruder.advance(afterS, wanted) + this.primedMm3 * Math.max(0, Math.min(toMm, fromMm + BLOB_MM) - this.cellFromMm) / BLOB_MM;
      if (toMm >= reachMm - 1e-9) volume += extruder.settle();
      if (this.isAtJoint(toMm)) volume = Math.min(volume, wanted * afterS);
      paste.write(growing, isFirst ? this.node : this.node + 1, end, volume / (this.areaMm2 * lengthMm));
      this.node = toMm < (arcMm[end] as number) ? end - 1 : end;
      this.cellFromMm = toMm;
    }
    growing.body.toMm = Math.max(fromMm, sMm);
  }

  /** Where a stretch ends at paste that lies, the flow is turned down its lag ahead: what would trail out beyond that is no blob there. */
  private isAtJoint(sMm: number): boolean {
    const { toMm, strand } = this.stretch;
    return toMm < strand.lengthMm - 1e-6 && sMm > toMm - JOINT_MM;
  }

  /** Before the first cell: flow with the nozzle at rest, or over an overlap, where the paste joins what lies there and is no bead of its own. */
  private prime(): number {
    const { extruder, settings, stretch } = this.parts, full = this.areaMm2 * settings.speedMmS * this.parts.flowRatio(stretch.fromMm, 0);
    if (stretch.fromMm <= this.baseMm + 1e-9) return extruder.advance(PRIME_S, full);
    extruder.advance(this.startS - this.move.startS, full);
    return 0;
  }

  private timeAt(sMm: number): number { return this.move.startS + this.move.ramp.timeAt(sMm - this.baseMm); }
  private get startS(): number { return this.timeAt(this.stretch.fromMm); }

  /** When the next row is due; Infinity where none comes before the end of the move. */
  get rowDueS(): number {
    if (!this.begun) return this.startS;
    return this.rowS < this.move.startS + this.move.ramp.durationS - 1e-6 ? this.rowS : Infinity;
  }

  /** The row that is due at tS. */
  takeRow(tS: number): ProgressMessage {
    if (!this.begun) {
      this.begun = true;
      this.rowS = tS + ROW_EVERY_S;
      return this.row(tS, this.stretch.fromMm, "start");
    }
    this.rowS += ROW_EVERY_S;
    return this.row(tS, this.sAt(tS), "update");
  }

  /** The last row, once the move is over: the stretch's end, or where a brake left the nozzle. */
  lastRow(tS: number): ProgressMessage {
    const sMm = this.sAt(tS), done = this.isDone(tS);
    return this.row(tS, done ? this.stretch.toMm : sMm, done ? "end" : "update");
  }
  isDone(tS: number): boolean { return this.sAt(tS) >= this.stretch.toMm - 1e-6; }

  private row(tS: number, sMm: number, event: ProgressMessage["event"]): ProgressMessage {
    const { layer, strand } = this.stretch.strand;
    return { kind: "progress", tS, layer, strand, sMm, event };
  }
}
