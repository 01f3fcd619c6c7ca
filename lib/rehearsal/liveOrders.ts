/** What becomes of commands: carried out or refused, each with one receipt, also when it comes again. */
import { norm, sub, tripleAt, type Vec3 } from "../kernel/vec.ts";
import type { Command, FlowFactor, PauseAt, PlanRow, Receipt, Resume } from "./liveCommand.ts";
import type { Agenda } from "./liveAgenda.ts";
import type { PlannedStrand } from "./planned.ts";
import type { RehearsalSettings } from "./settings.ts";

/** The cell's own delay from a command to its receipt, s of its clock. */
const RECEIPT_AFTER_S = 0.15;
/** Flow factors that this cell carries out. */
const FACTOR_RANGE = [0.5, 1.5] as const;
/** Rows of a resume may lie so far off the plan, mm. */
const ROW_OFF_MM = 0.05;

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

  /** A place is laid again only where it was taken off or never laid; up to the overlap good paste may lie there. */
  private placeRefusal({ layer, strand, sMm, overlapMm, rows }: Resume): string | null {
    const { agenda, settings } = this.ports, index = agenda.indexOf(layer, strand), planned = agenda.strands[index];
    if (planned === undefined) return `no strand ${strand} in layer ${layer}`;
    if (sMm > planned.lengthMm + 0.01) return `strand ${strand} of layer ${layer} ends at ${planned.lengthMm.toFixed(2)} mm`;
    const there = agenda.laidAt(index, sMm);
    if (there !== null && there[1] - sMm > Math.max(overlapMm, ROW_OFF_MM)) return `paste lies there up to ${there[1].toFixed(2)} mm: it has to be taken off first`;
    return rowsRefusal(rows, agenda.strands, settings);
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
        const index = ports.agenda.indexOf(command.layer, command.strand), there = ports.agenda.laidAt(index, command.sMm), fromMm = there === null ? command.sMm : there[1];
        const act = (at: number): void => ports.goOn(at, index, fromMm, command.overlapMm);
        this.pending.push({ n, dueS, outcome, note: `going on from ${fromMm.toFixed(2)} mm of strand ${command.strand}, layer ${command.layer}`, act, resumes: true });
      }
    }
  }

  /** A stop that comes before the cell has gone on again wins. */
  private overtakeResume(n: number): void {
    this.pending = this.pending.map((one) => (one.resumes === true ? { n: one.n, dueS: one.dueS, outcome: "failed", note: `overtaken by command ${n}` } : one));
  }
}

/** This cell follows its own plan: rows that leave it, or ask for another bead, are refused. */
function rowsRefusal(rows: readonly PlanRow[], strands: readonly PlannedStrand[], { widthMm, heightMm, speedMmS }: RehearsalSettings): string | null {
  const differs = (asked: number | null, planned: number): boolean => asked !== null && Math.abs(asked - planned) > 1e-3 * planned;
  for (const row of rows) {
    const strand = strands.find((one) => one.layer === row.layer && one.strand === row.strand);
    if (strand === undefined) return `rows: no strand ${row.strand} in layer ${row.layer}`;
    if (offMm(strand, [row.xMm, row.yMm, row.zMm]) > ROW_OFF_MM) return `rows: a point lies over ${ROW_OFF_MM} mm off strand ${row.strand} of layer ${row.layer}`;
    if (differs(row.widthMm, widthMm) || differs(row.heightMm, heightMm) || differs(row.speedMmS, speedMmS)) return "rows: another bead or speed than planned";
  }
  return null;
}

/** Distance of a point from the chords between a strand's waypoints. */
function offMm({ waypoints, track }: PlannedStrand, point: Vec3): number {
  let least = Infinity;
  for (let i = 1; i < waypoints.length; i++) {
    const a = tripleAt(track.pointsMm, waypoints[i - 1] as number), b = tripleAt(track.pointsMm, waypoints[i] as number);
    const along = sub(b, a), away = sub(point, a), lengthMm = norm(along);
    const f = Math.max(0, Math.min(1, (along[0] * away[0] + along[1] * away[1] + along[2] * away[2]) / (lengthMm * lengthMm)));
    least = Math.min(least, norm([away[0] - f * along[0], away[1] - f * along[1], away[2] - f * along[2]]));
  }
  return least;
}
