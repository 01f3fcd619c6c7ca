/**
 * The simulated cell while it prints: a state machine over events in its own time (rows, signals, profiles, ends of moves, receipts), each at its
 * exact instant, so that what comes out does not depend on the steps in which time is moved on. Pure: no clock, no network.
 */
import type { ProfileMessage, ProgressMessage, ReworkMessage, SignalMessage } from "../model/messages.ts";
import type { CameraSettings } from "./camera/cameraSettings.ts";
import { LiveCamera, type LiveShot } from "./camera/liveCamera.ts";
import { carryOutCause } from "./liveCauseDeeds.ts";
import { Wrong, type CauseRequest } from "./liveCauses.ts";
import type { Command, Receipt } from "./liveCommand.ts";
import { Eye } from "./liveEye.ts";
import type { Laying } from "./liveLaying.ts";
import { Orders } from "./liveOrders.ts";
import { signalRows, SIGNAL_EVERY_S } from "./liveSignals.ts";
import { Work } from "./liveWork.ts";
import type { RehearsalSettings } from "./settings.ts";
import { makeSurface } from "./surface.ts";

/** Something for people, at a time of the cell; it is not sent. */
export interface Said { readonly kind: "said"; readonly tS: number; readonly text: string }
/** Everything that leaves the cell. */
export type Outgoing = ProfileMessage | ProgressMessage | ReworkMessage | SignalMessage | LiveShot | Receipt | Said;
/** Why the cell stands: a command, its own duty, or a full queue. */
export type StopReason = "command" | "self" | "queue";
/** Over is over: nothing comes after the last two. */
export type Phase = "printing" | "finished" | "aborted";

/** What a live cell has beside the settings of a rehearsal. */
export interface LiveOptions {
  /** Simulated seconds per second of wall time, 1 to 20; profiles are thinned above 4. */
  readonly pace: number;
  readonly syringeMm3: number;
  /** As `fillCamera` gives it; without it there is no camera. */
  readonly camera?: CameraSettings;
}

/** One print. Time is moved on by `advanceTo`; what went out is fetched by `drain`. */
export class LiveCell {
  readonly work: Work;
  readonly wrong = new Wrong();
  /** The cell's clock, s. */
  nowS = 0;
  private readonly eye: Eye;
  private readonly camera: LiveCamera | null;
  private readonly orders: Orders;
  private readonly stops = new Set<StopReason>();
  private aborted = false;
  private signalS = 0;
  private factor = 1;
  private out: Outgoing[] = [];

  /** Settings as `fillSettings` gives them. */
  constructor(settings: RehearsalSettings, { pace, syringeMm3, camera }: LiveOptions) {
    const surface = makeSurface(settings.surface, settings.radiusMm);
    this.eye = new Eye(settings, surface, pace);
    this.camera = camera === undefined ? null : new LiveCamera(settings, surface, camera);
    this.work = new Work(settings, syringeMm3, {
      eye: this.eye,
      isStopped: () => this.stops.size > 0,
      flowRatio: (index, sMm, lengthMm) => this.orders.factorAt(index, sMm) * this.wrong.takeFlowRatio(lengthMm),
      row: (row) => { this.out.push(row); },
      say: (text) => this.say(text),
      reached: (tS, layerEnds) => this.reached(tS, layerEnds),
      rests: (tS) => { this.out.push(...this.orders.settleWaiting(tS, "paused")); },
    });
    this.orders = new Orders(this.orderPorts());
    this.work.proceed(0);
  }

  get phase(): Phase { return this.aborted ? "aborted" : this.work.done ? "finished" : "printing"; }
  get stopped(): ReadonlySet<StopReason> { return this.stops; }
  get resting(): boolean { return this.work.move === null; }
  /** Time of the next receipt; Infinity where none is due. */
  get receiptDueS(): number { return this.orders.dueS; }

  /** Moves on to time tS: everything that happens until then goes out. Nothing happens once the print is over. */
  advanceTo(tS: number): void {
    const { work } = this;
    while (this.phase === "printing") {
      const mute = this.stops.has("queue") && this.resting;
      const rowS = work.laying?.rowDueS ?? Infinity, signalS = mute ? Infinity : this.signalS;
      const profile = mute ? { device: 0, tS: Infinity } : this.eye.due(work.move, this.nowS);
      const frameS = mute ? Infinity : this.camera?.dueS ?? Infinity;
      const nextS = Math.max(this.nowS, Math.min(rowS, signalS, profile.tS, frameS, work.moveEndS, this.orders.dueS));
      if (!(nextS <= tS)) break;
      this.nowS = nextS;
      work.laying?.layTo(nextS);
      if (rowS <= nextS) this.out.push((work.laying as Laying).takeRow(nextS));
      else if (signalS <= nextS) this.takeSignals(nextS);
      else if (profile.tS <= nextS) this.out.push(this.eye.take(profile.device, nextS, { move: work.move, tool: work.toolAt(nextS), bodies: work.paste.bodies, wrong: this.wrong, layer: work.layer }));
      else if (frameS <= nextS) this.out.push((this.camera as LiveCamera).take(nextS, { bodies: work.paste.bodies, nozzle: work.standAt(nextS), joltMm: this.wrong.joltMm }));
      else if (work.moveEndS <= nextS) work.endMove(nextS);
      else this.out.push(...this.orders.takeDue(nextS));
    }
    if (this.phase !== "printing") {
      this.out.push(...this.orders.takeDue(this.nowS, true)); // the clock stands: nothing would fall due any more
      return;
    }
    this.nowS = Math.max(this.nowS, tS);
    work.laying?.layTo(this.nowS);
  }

  /** A command that has just come in. */
  take(command: Command): void {
    const again = this.orders.take(command, this.nowS);
    if (again !== null) this.out.push(again);
  }

  /** Something goes wrong, or is put right again; the sentence says what, NotNow why not. */
  cause(request: CauseRequest): string {
    const { text, row } = carryOutCause(this, request);
    if (row !== null) this.out.push(row);
    this.say(text);
    return text;
  }

  /** The cell's own duty: it stops at once, and goes on only when a resume comes. */
  selfPause(why: string): void {
    if (this.phase !== "printing" || this.stops.has("self")) return;
    this.stop("self");
    this.out.push({ kind: "signal", tS: this.nowS, name: "selfPaused", value: 1 });
    this.say(why);
  }

  /** Stops for a full queue and is silent once it stands; `release` goes on from there. */
  hold(): void {
    if (!this.stops.has("queue")) this.stop("queue");
  }
  release(): void {
    if (this.stops.delete("queue")) this.goOnIfFree();
  }

  /** What went out since the last call, in order of time. */
  drain(): Outgoing[] {
    const out = this.out;
    this.out = [];
    return out;
  }

  private say(text: string): void { this.out.push({ kind: "said", tS: this.nowS, text }); }
  private stop(reason: StopReason): void {
    this.stops.add(reason);
    this.work.stop(this.nowS);
  }
  private goOnIfFree(): void {
    if (this.stops.size === 0 && this.resting) this.work.proceed(this.nowS);
  }

  private reached(tS: number, layerEnds: boolean): number | null {
    const reached = this.orders.reached(tS, layerEnds);
    if (reached === null) return null;
    this.stops.add("command");
    this.out.push(...reached.receipts);
    return reached.retractMm;
  }

  private takeSignals(tS: number): void {
    this.signalS = tS + SIGNAL_EVERY_S;
    const { laying, agenda, settings, extruder } = this.work, strand = laying?.stretch.strand;
    if (laying !== null && strand !== undefined) this.factor = this.orders.factorAt(agenda.indexOf(strand.layer, strand.strand), laying.sAt(tS));
    this.out.push(...signalRows(settings, tS, { askedMm3S: (laying?.askedMm3S(tS) ?? 0) * this.factor, factor: this.factor, extruder, wrong: this.wrong }));
  }

  private orderPorts(): ConstructorParameters<typeof Orders>[0] {
    const { work, stops } = this, phase = (): Phase => this.phase;
    return {
      settings: work.settings, agenda: work.agenda,
      get going() { return stops.size === 0; },
      get resting() { return work.move === null; },
      get over() { return phase() !== "printing"; },
      get laying() { return work.laying !== null; },
      get betweenLayers() { return work.betweenLayers; },
      stop: (tS, abrupt) => {
        if (work.looking && !abrupt) {
          stops.add("command");
          return tS;
        }
        this.stop("command");
        return work.move === null ? tS : work.moveEndS;
      },
      retract: (tS, retractMm) => { if (retractMm > 0) work.retract(tS, retractMm); },
      goOn: (tS, index, sMm, overlapMm) => {
        if (stops.delete("self")) this.out.push({ kind: "signal", tS, name: "selfPaused", value: 0 });
        stops.delete("command");
        work.agenda.goTo(index, sMm);
        work.overlapMm = overlapMm;
        this.goOnIfFree();
      },
      takeOff: (tS, index, fromMm, toMm) => { work.takeOff(index, fromMm, toMm, tS); },
      abort: () => { this.aborted = true; },
    };
  }
}
