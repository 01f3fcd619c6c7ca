/** The work in hand: task after task of the agenda, each as steps, each step a move; what a move's end brings about; and how it is stopped and taken up again. */
import type { ProgressMessage } from "../model/messages.ts";
import { hangAt, type NozzleStand } from "./camera/studio.ts";
import { Agenda, type ScanPass, type Stretch } from "./liveAgenda.ts";
import { Extruder } from "./liveExtruder.ts";
import type { Eye } from "./liveEye.ts";
import { Laying } from "./liveLaying.ts";
import { LivePaste } from "./livePaste.ts";
import { PlannedFaults } from "./livePlannedFaults.ts";
import { homeTool, laySteps, lookSteps, scanSteps, type Step } from "./liveSteps.ts";
import { brakedMove, liftedPoint, liftMove, type Move, type Tool } from "./liveTool.ts";
import { planStrands, type PlannedStrand } from "./planned.ts";
import { driftsOf, fieldPasses } from "./schedule.ts";
import type { RehearsalSettings } from "./settings.ts";
import { makeSurface, type Surface } from "./surface.ts";

/** What the work asks of the cell around it. */
export interface WorkPorts {
  readonly eye: Eye;
  /** The cell is to stand: steps in hand are finished, and no new task is begun. */
  isStopped(): boolean;
  /** Share of the planned flow over a piece of a strand. */
  flowRatio(index: number, sMm: number, lengthMm: number): number;
  row(row: ProgressMessage): void;
  say(text: string): void;
  /** A stretch is whole; gives how far to lift where a pause waited for that, else null. */
  reached(tS: number, layerEnds: boolean): number | null;
  /** It stands. */
  rests(tS: number): void;
}

/** State of the work; times are the cell's clock, s, and never run backwards. */
export class Work {
  readonly settings: RehearsalSettings;
  readonly strands: readonly PlannedStrand[];
  readonly agenda: Agenda;
  readonly paste: LivePaste;
  readonly extruder: Extruder;
  move: Move | null = null;
  laying: Laying | null = null;
  /** What was laid last. */
  newest: Stretch | null = null;
  /** Layer in hand, 0 before the first. */
  layer = 0;
  done = false;
  /** The profiler is yet to see the end of what was laid last. */
  looking = false;
  /** The nozzle begins its way to the next stretch so much before it, mm. */
  overlapMm = 0;
  private readonly ports: WorkPorts;
  private readonly surface: Surface;
  private readonly plannedFaults: PlannedFaults;
  private readonly dirtyLayers = new Set<number>();
  private steps: Step[] = [];
  private tool: Tool;
  private scanning: ScanPass | null = null;

  constructor(settings: RehearsalSettings, syringeMm3: number, ports: WorkPorts) {
    this.settings = settings;
    this.ports = ports;
    this.surface = makeSurface(settings.surface, settings.radiusMm);
    this.strands = planStrands(settings, this.surface);
    this.agenda = new Agenda(this.strands);
    this.paste = new LivePaste(settings, this.surface, this.strands);
    this.plannedFaults = new PlannedFaults(settings, this.strands, this.paste);
    this.extruder = new Extruder(syringeMm3);
    if (settings.supportScan) this.agenda.owe(fieldPasses(settings, this.surface, 0, 1), 1);
    this.tool = homeTool(settings, this.surface, this.agenda.next());
  }

  toolAt(tS: number): Tool { return this.move === null ? this.tool : this.move.at(this.move.ramp.sAt(tS - this.move.startS), 0); }
  /** The nozzle, with what hangs at it. */
  standAt(tS: number): NozzleStand {
    const { nozzle, liftMm } = this.toolAt(tS), { laying } = this;
    return { tip: liftedPoint(nozzle, liftMm), axis: nozzle.normal, hangMm2: laying === null ? null : hangAt(this.settings, laying.stretch.strand, laying.sAt(tS)) };
  }
  /** When the present move is over; Infinity at rest. */
  get moveEndS(): number { return this.move === null ? Infinity : this.move.startS + this.move.ramp.durationS; }
  get betweenLayers(): boolean { return this.laying === null && this.agenda.nextStretch()?.strand.layer !== this.newest?.strand.layer; }

  /** Begins what comes next: the steps left of the task in hand, else the next task. */
  proceed(tS: number): void {
    for (;;) {
      const step = this.steps.shift();
      if (step !== undefined) {
        const move = step(tS, this.tool);
        if (move === null) continue;
        this.begin(move);
        return;
      }
      this.move = null;
      if (this.ports.isStopped()) {
        this.ports.rests(tS);
        return;
      }
      const task = this.agenda.next();
      this.done = task === null;
      if (task === null) return;
      this.layer = task.kind === "scan" ? task.pass.layer : task.stretch.strand.layer;
      this.steps = task.kind === "scan" ? scanSteps(this.settings, task.pass, () => { this.scanning = task.pass; }) : this.strandSteps(task.stretch);
    }
  }

  /** Brakes, and forgets the steps in hand. A scanning pass cut short is run again, a stretch goes on later from where it stopped. */
  stop(tS: number): void {
    this.steps = [];
    this.looking = false;
    this.scanning = null;
    if (this.move === null) return;
    const wayMm = this.move.ramp.sAt(tS - this.move.startS);
    this.move = brakedMove(this.move, tS);
    this.ports.eye.goOn(wayMm);
    this.laying?.turnTo(this.move, tS);
  }

  /** Lifts to at least so much once the steps in hand are over. */
  retract(tS: number, retractMm: number): void {
    this.steps.push((at, tool) => (tool.liftMm < retractMm ? liftMove(at, tool, retractMm) : null));
    if (this.move === null) this.proceed(tS);
  }

  endMove(tS: number): void {
    const move = this.move as Move;
    this.tool = move.at(move.ramp.lengthMm, 0);
    if (move.kind === "lay") this.endLaying(tS);
    else if (move.kind === "look" && this.looking) {
      this.looking = false;
      this.dragFaults(tS, "afterScan", this.newest);
    } else if (move.kind === "scan" && this.scanning !== null) {
      this.agenda.scanned(this.scanning);
      this.scanning = null;
      if (this.settings.scan === "later" && this.layer > 0 && !this.agenda.owes(this.layer + 1)) this.dragFaults(tS, "afterScan", null);
    }
    this.proceed(tS);
  }

  /** The layer has been changed after it was seen: it is scanned once more when it is whole, before the next one. */
  stain(layer: number): void {
    this.dirtyLayers.add(layer);
    const isWhole = this.laying === null && this.agenda.nextStretch()?.strand.layer !== layer;
    if (isWhole && !this.agenda.owes(layer + 1)) this.oweDirty(layer);
  }
  /** A person takes a stretch off. The layer is scanned before anything more of it is laid: the support is what is seen now. */
  takeOff(index: number, fromMm: number, toMm: number, tS: number): void {
    const strand = this.strands[index] as PlannedStrand;
    this.paste.takeOff(strand, fromMm, toMm, tS);
    this.agenda.removed(index, fromMm, toMm);
    this.agenda.owe(this.scanOf(strand.layer), strand.layer);
  }

  private scanOf(layer: number): ScanPass[] { return fieldPasses(this.settings, this.surface, layer, layer); }
  private oweDirty(layer: number): void {
    if (this.settings.finalScan ?? this.dirtyLayers.has(layer)) this.agenda.owe(this.scanOf(layer), layer + 1);
    this.dirtyLayers.delete(layer);
  }

  private begin(move: Move): void {
    this.move = move;
    const { eye } = this.ports, stretch = move.kind === "lay" ? this.laying?.stretch : move.kind === "look" ? this.newest : null;
    if (this.scanning !== null) eye.begin(move, this.scanning);
    else if (stretch === null || stretch === undefined) eye.begin(move, null);
    else {
      const { strand, toMm } = stretch, nozzleMm = move.kind === "lay" ? (this.laying as Laying).sAt(move.startS) : toMm;
      eye.begin(move, { drifts: driftsOf(this.settings, strand.layer, (fault) => fault.strand === strand.strand), fromMm: nozzleMm - this.settings.trailMm });
    }
  }

  private strandSteps(stretch: Stretch): Step[] {
    const baseMm = Math.max(0, stretch.fromMm - this.overlapMm);
    this.overlapMm = 0;
    return laySteps({ settings: this.settings, surface: this.surface, stretch, baseMm }, (move, tS) => {
      const { strand, fromMm } = stretch, index = this.agenda.indexOf(strand.layer, strand.strand), { settings, paste, extruder } = this;
      const growing = paste.begin(strand, this.agenda.attempt(index), fromMm, tS);
      this.laying = new Laying({ settings, stretch, growing, paste, extruder, baseMm, flowRatio: (sMm, lengthMm) => this.ports.flowRatio(index, sMm, lengthMm) }, move);
      this.ports.say(`laying strand ${strand.strand} of layer ${strand.layer} from ${fromMm.toFixed(1)} mm`);
    });
  }

  private endLaying(tS: number): void {
    const laying = this.laying as Laying, { strand, fromMm } = laying.stretch, isDone = laying.isDone(tS), toMm = isDone ? laying.stretch.toMm : laying.sAt(tS);
    this.laying = null;
    this.extruder.settle();
    if (!laying.laying) return;
    this.ports.row(laying.lastRow(tS));
    const index = this.agenda.indexOf(strand.layer, strand.strand);
    this.agenda.laid(index, fromMm, toMm);
    this.agenda.goTo(index, toMm);
    this.newest = { strand, fromMm, toMm };
    this.plannedFaults.blobs(this.newest, tS);
    if (isDone) this.endStretch(this.newest, tS);
  }

  private endStretch(stretch: Stretch, tS: number): void {
    const { layer } = stretch.strand, layerEnds = this.agenda.nextStretch()?.strand.layer !== layer;
    this.dragFaults(tS, "strandEnd", stretch);
    this.looking = this.settings.scan === "trailing";
    this.steps = this.looking ? lookSteps(this.settings, this.surface, stretch) : [];
    if (layerEnds && this.settings.scan === "later") this.agenda.owe(this.scanOf(layer), layer + 1);
    if (layerEnds && !this.agenda.owes(layer + 1)) this.oweDirty(layer);
    const retractMm = this.ports.reached(tS, layerEnds);
    if (retractMm !== null && retractMm > 0) this.steps.push((at, tool) => liftMove(at, tool, Math.max(tool.liftMm, retractMm)));
  }

  /** Drags and tears that were ordered beforehand go at their time; null: those of the whole layer. */
  private dragFaults(tS: number, when: RehearsalSettings["dragWhen"], stretch: Stretch | null): void {
    const layer = stretch?.strand.layer ?? this.layer;
    if (when === "afterScan") this.plannedFaults.tears(layer, stretch?.strand.strand ?? null, tS);
    if (when === this.settings.dragWhen && this.plannedFaults.drags(layer, stretch?.strand.strand ?? null, tS)) this.stain(layer);
  }
}
