/** What becomes of commands: carried out or refused, each with one receipt, also when it comes again. */
import type { Agenda } from "./liveAgenda.ts";
import type { Command, FlowFactor, PauseAt, Receipt, Resume } from "./liveCommand.ts";
import { firstStretchEnd, rowsRefusal } from "./liveRows.ts";
import type { PlannedStrand } from "./planned.ts";
import type { RehearsalSettings } from "./settings.ts";

/** The cell's own delay from a command to its receipt, s of its clock. */
const RECEIPT_AFTER_S = 0.15;
/** Flow factors that this cell carries out. */
const FACTOR_RANGE = [0.5, 1.5] as const;
/** Places are typed to a tenth of a millimetre: paste that ends no further beyond one is good, and the print goes on from its end. */
const PLACE_MM = 0.1;

/** What orders may do with the cell. */
export interface OrderPorts {
  readonly settings: RehearsalSettings;
  readonly agenda: Agenda;
  /** Laying or travelling, and not ordered to stop. */
  readonly going: boolean;
  /** Stands, ordered to or by itself. */
  readonly resting: boolean;
  readonly over: boolean;
  /** A strand is being laid. */
  readonly laying: boolean;
  /** Nothing of the layer that comes next has been laid. */
  readonly betweenLayers: boolean;
  /** Brakes at once (not `abrupt`: after the profiler's look at a strand's end); gives when the tool stands, or tS where that is not waited for. */
  stop(tS: number, abrupt: boolean): number;
  /** Lifts as far as that once it stands. */
  retract(tS: number, retractMm: number): void;
  goOn(tS: number, index: number, sMm: number, overlapMm: number): void;
  /** Whoever stands at the cell has taken this stretch off. */
  takeOff(tS: number, index: number, fromMm: number, toMm: number): void;
  abort(tS: number): void;
}

interface Pending {
  readonly n: number;
  readonly dueS: number;
  readonly outcome: Receipt["outcome"];
  readonly note: string;
  /** Carried out with the receipt. */
  readonly act?: (tS: number) => void;
  readonly resumes?: boolean;
}
interface Waiting { readonly n: number; readonly at: PauseAt; readonly retractMm: number }

/** The cell's memory of commands. */
export class Orders {
  private readonly ports: OrderPorts;
  private readonly receipts = new Map<number, Receipt | null>();
  private readonly factors: FlowFactor[] = [];
  private pending: Pending[] = [];
  private waiting: Waiting[] = [];

  constructor(ports: OrderPorts) {
    this.ports = ports;
  }

  /** When the next receipt is due; Infinity for none. */
  get dueS(): number { return this.pending.reduce((least, one) => Math.min(least, one.dueS), Infinity); }

  /** Takes a command that came at tS. A receipt comes back at once where it was given before. */
  take(command: Command, tS: number): Receipt | null {
    const before = this.receipts.get(command.n);
    if (before !== undefined) return before;
    this.receipts.set(command.n, null);
    const refusal = this.refusal(command);
    if (refusal === null) this.carryOut(command as Exclude<Command, { kind: "unreadable" }>, tS);
    else this.pending.push({ n: command.n, dueS: tS + RECEIPT_AFTER_S, outcome: "refused", note: refusal });
    return null;
  }

  /** The receipts that are due by tS (`all`: whenever they were), their deeds done. */
  takeDue(tS: number, all = false): Receipt[] {
    const due = this.pending.filter((one) => all || one.dueS <= tS);
    this.pending = this.pending.filter((one) => !due.includes(one));
    return due.map(({ n, outcome, note, act }) => {
      act?.(tS);
      return this.receive({ kind: "receipt", n, outcome, tS, note });
    });
  }

  /** The nozzle has come to a strand's end (and a layer's): pauses that waited for it are done. Gives their receipts and how far to lift; null: none waited. */
  reached(tS: number, layerEnds: boolean): { readonly receipts: readonly Receipt[]; readonly retractMm: number } | null {
    if (!this.waiting.some((one) => one.at === "strandEnd" || layerEnds)) return null;
    const retractMm = Math.max(...this.waiting.map((one) => one.retractMm));
    return { receipts: this.settleWaiting(tS, layerEnds ? "paused at the layer's end" : "paused at the strand's end"), retractMm };
  }

  /** All pauses that still wait are done: the cell stands, for whatever reason. */
  settleWaiting(tS: number, note: string): Receipt[] {
    const receipts = this.waiting.map(({ n }) => this.receive({ kind: "receipt", n, outcome: "done", tS, note }));
    this.waiting = [];
    return receipts;
  }

  /** Flow factor in force at a place: the last one given whose beginning has been passed, else 1. */
  factorAt(index: number, sMm: number): number {
    const inForce = this.factors.findLast((one) => {
      const from = this.ports.agenda.indexOf(one.layer, one.strand);
      return from < index || (from === index && one.fromMm <= sMm + 1e-6);
    });
    return inForce?.factor ?? 1;
  }

  private receive(receipt: Receipt): Receipt {
    this.receipts.set(receipt.n, receipt);
    return receipt;
  }

  private refusal(command: Command): string | null {
    const { ports } = this;
    if (command.kind === "unreadable") return command.why;
    if (ports.over) return "the print is over";
    switch (command.kind) {
      case "pause": case "abort": return null;
      case "flowFactor": {
        if (ports.agenda.indexOf(command.layer, command.strand) < 0) return `no strand ${command.strand} in layer ${command.layer}`;
        const [least, most] = FACTOR_RANGE;
        return command.factor >= least && command.factor <= most ? null : `this cell takes factors from ${least} to ${most}`;
      }
      case "resume": return this.pending.some((one) => one.resumes) ? "another resume is being carried out" : ports.going ? "the cell is not paused" : !ports.resting ? "the cell has not come to rest yet" : this.placeRefusal(command);
    }
  }

  private placeRefusal(resume: Resume): string | null {
    const { layer, strand, sMm, rows } = resume, { agenda, settings } = this.ports, planned = agenda.strands[agenda.indexOf(layer, strand)];
    if (planned === undefined) return `no strand ${strand} in layer ${layer}`;
    if (sMm > planned.lengthMm + 0.01) return `strand ${strand} of layer ${layer} ends at ${planned.lengthMm.toFixed(2)} mm`;
    const refusal = rowsRefusal(rows, agenda.strands, settings);
    if (refusal !== null) return refusal;
    const { fromMm, toMm } = this.placeOf(resume);
    return toMm !== null && toMm <= fromMm ? "paste lies there, and the rows lay nothing there" : null;
  }

  /** Where a resume goes on, and to where paste is taken off before; null: none lies there. What is to be laid again ends with the rows' first stretch, without rows with the paste. */
  private placeOf({ layer, strand, sMm, overlapMm, rows }: Resume): { readonly index: number; readonly fromMm: number; readonly toMm: number | null } {
    const { agenda } = this.ports, index = agenda.indexOf(layer, strand), planned = agenda.strands[index] as PlannedStrand, there = agenda.laidAt(index, sMm);
    const laidToMm = there?.[1] ?? sMm;
    if (laidToMm - sMm <= PLACE_MM) return { index, fromMm: laidToMm, toMm: null };
    return { index, fromMm: sMm, toMm: rows.length === 0 ? laidToMm : firstStretchEnd(rows, planned, Math.max(0, sMm - overlapMm)) ?? sMm };
  }

  private carryOut(command: Exclude<Command, { kind: "unreadable" }>, tS: number): void {
    const { ports } = this, { n } = command, dueS = tS + RECEIPT_AFTER_S, outcome = "done";
    if (command.kind === "pause" || command.kind === "abort") this.overtakeResume(n);
    switch (command.kind) {
      case "pause": {
        const { at, retractMm } = command;
        const later = ports.going && (at === "strandEnd" ? ports.laying : at === "layerEnd" && !ports.betweenLayers);
        if (later) {
          this.waiting.push({ n, at, retractMm });
          return;
        }
        const restS = ports.stop(tS, at === "now");
        ports.retract(tS, retractMm);
        this.pending.push({ n, dueS: Math.max(dueS, restS), outcome, note: "paused" });
        return;
      }
      case "abort": {
        const restS = ports.stop(tS, true);
        this.pending.push({ n, dueS: Math.max(dueS, restS), outcome, note: "aborted", act: (at) => ports.abort(at) });
        return;
      }
      case "flowFactor":
        this.factors.push(command);
        this.pending.push({ n, dueS, outcome, note: `flow times ${command.factor} from ${command.fromMm} mm of strand ${command.strand}, layer ${command.layer}` });
        return;
      case "resume": {
        const { layer, strand, overlapMm } = command, { index, fromMm, toMm } = this.placeOf(command), where = `of strand ${strand}, layer ${layer}`;
        const act = (at: number): void => {
          if (toMm !== null) ports.takeOff(at, index, fromMm, toMm);
          ports.goOn(at, index, fromMm, overlapMm);
        };
        const note = toMm === null ? `going on from ${fromMm.toFixed(2)} mm ${where}` : `taken off: ${fromMm.toFixed(2)} to ${toMm.toFixed(2)} mm ${where}; it is laid again from there`;
        this.pending.push({ n, dueS, outcome, note, act, resumes: true });
      }
    }
  }

  /** A stop that comes before the cell has gone on again wins. */
  private overtakeResume(n: number): void {
    this.pending = this.pending.map((one) => (one.resumes === true ? { n: one.n, dueS: one.dueS, outcome: "failed", note: `overtaken by command ${n}` } : one));
  }
}
