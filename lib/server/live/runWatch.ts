/** The watch over one live run: what stands becomes alerts; policy and gate ask the cell for pauses; what people do about it is taken. */
import { causeOf, overlaps } from "../../alert/causes.ts";
import { watch } from "../../alert/watchdogs.ts";
import type { AlertInput } from "../../alert/alerts.ts";
import { gatePause, layerGate, wouldBury, type Gate } from "../../control/layerGate.ts";
import { proposedPause, wantedPause, type OpenFinding } from "../../control/pause.ts";
import { isSettled, type Alert } from "../../model/alert.ts";
import type { PauseAt } from "../../model/job.ts";
import { OPEN_STATES } from "../../model/liveRun.ts";
import type { PasteMark, TakenOff } from "../../model/liveSheet.ts";
import { PROGRAM_ACTOR } from "../../model/log.ts";
import { isFindingKind, type Finding } from "../../model/result.ts";
import type { Sqlite } from "../../store/connection.ts";
import { readEntriesOf } from "../../store/logTable.ts";
import { portableText } from "../../log/portable.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";
import type { LiveRun } from "./liveRun.ts";
import type { RunRecord } from "./runRecord.ts";
import { factsOf, type WatchMemory } from "./watchFacts.ts";

export interface RunWatchPorts {
  readonly db: Sqlite;
  readonly record: RunRecord;
  readonly nowIso: () => string;
  readonly nowMs: () => number;
}

export class RunWatch {
  /** Whether the program may pause by itself, and who said so last; null: nobody, it may. */
  autoPause: { readonly isOn: boolean; readonly by: string | null };
  private readonly memory: WatchMemory = { clocks: new Map(), liveMs: Number.NaN, diskFreeFraction: 1, diskMs: Number.NaN, dueMs: new Map() };
  /** Alerts that a pause was asked for. What stood when the server began was seen to before. */
  private readonly asked: Set<number>;
  /** Pauses that the gate has asked for since the print was last live, as "layer place": a cell that refuses one is not asked for it again and again. */
  private readonly gateAsked = new Set<string>();
  /** Layers that a person has said may be covered. */
  private readonly opened: Set<number>;

  constructor(private readonly run: LiveRun, private readonly ports: RunWatchPorts) {
    const { db } = ports, set = readEntriesOf(db, run.id, "autoPause.set").at(-1);
    this.autoPause = { isOn: set?.payload.isOn ?? true, by: set?.actor ?? null };
    this.asked = new Set(run.alerts.standing.map(({ n }) => n));
    this.opened = new Set(readEntriesOf(db, run.id, "gate.opened").map(({ payload }) => payload.layer));
  }

  /** All findings of one strand, or off the path of one layer, as they stand. */
  found(source: string, findings: readonly Finding[]): void {
    this.run.alerts.take({ do: "conditions", source, causes: findings.map(causeOf) });
    this.act();
  }

  /** To be called several times a second, and whenever something has come about. */
  look(): void {
    const { run, ports } = this, { state, endAsked } = run.row;
    if (!OPEN_STATES.includes(state) || state === "prepared" || endAsked !== null) return; // of a print that is only prepared there is nothing to watch
    const { watchdogs } = run.job.policy, gates = this.gates, overrun = this.overrun(gates);
    run.alerts.take({ do: "conditions", source: "watchdogs", causes: watch(factsOf(run, this.memory, ports), watchdogs) });
    run.alerts.take({ do: "conditions", source: "gate", causes: gates.filter(({ isHeld }) => isHeld).map(({ layer }) => ({
      kind: overrun?.layer === layer ? "gateOverrun" : "layerHeld", severity: "act", subject: "", place: { layer, strand: null, fromMm: null, toMm: null }, worst: null,
    })) });
    run.alerts.take({ do: "tick" });
    this.act();
  }

  /** Findings that stand, as their alerts know them. */
  get openFindings(): OpenFinding[] {
    return this.run.alerts.standing.flatMap((alert) => openFinding(alert) ?? []);
  }

  /** Of each layer that was begun, as far as the plan goes on above it. */
  get gates(): Gate[] {
    const { layers } = this.run.facts, { removed } = this.run.seen, findings = this.openFindings, { layerGate: rule } = this.run.job.policy;
    return layers.map((seen) => layerGate(rule, { seen, findings, removed, isOpened: this.opened.has(seen.layer) }));
  }

  /** The gate that the cell is laying over; null: none. */
  private overrun(gates: readonly Gate[]): Gate | null {
    const { nozzle } = this.run.facts;
    return nozzle === null ? null : wouldBury(nozzle.layer, gates);
  }

  /** Where the first touch pauses. */
  get pauseAt(): PauseAt {
    return proposedPause(this.run.job.policy, this.openFindings);
  }

  /** Asks the cell for the pauses that policy and gate want. A person can switch off those of the policy; the gate is opened by deciding. */
  private act(): void {
    const { run } = this;
    if (run.row.state !== "live") {
      this.gateAsked.clear();
      return;
    }
    if (this.autoPause.isOn) this.actOnPolicy();
    this.actOnGate();
  }

  private actOnPolicy(): void {
    const wanted = wantedPause(this.run.job.policy, this.openFindings, { asked: this.asked, inForce: this.inForce });
    if (wanted !== null && this.ask(wanted.at, `${wanted.finding.kind}, alert ${wanted.finding.n}`)) for (const { n, kind } of this.openFindings) if (kind === wanted.finding.kind) this.asked.add(n);
  }

  /** Where the print stops by what is asked and not done yet. */
  private get inForce(): PauseAt[] {
    return this.run.commands.open.flatMap(({ kind, at }) => at ?? (kind === "abort" ? "now" : []));
  }

  private actOnGate(): void {
    const { nozzle } = this.run.facts, { gates, inForce } = this;
    if (nozzle === null) return;
    const at = gatePause(nozzle, gates.find(({ layer }) => layer === nozzle.layer) ?? null, this.overrun(gates));
    const asking = `${nozzle.layer} ${at}`;
    if (at === null || inForce.includes("now") || inForce.includes(at) || this.gateAsked.has(asking)) return;
    if (this.ask(at, at === "now" ? `layer ${this.overrun(gates)?.layer ?? nozzle.layer} is held and is being laid over` : `layer ${nozzle.layer} is held`)) this.gateAsked.add(asking);
  }

  private ask(at: PauseAt, reason: string): boolean {
    return unlessDiskRefuses(() => this.run.ask({ kind: "pause", at, retractMm: 0, reason }, PROGRAM_ACTOR));
  }

  /** What a person does about an alert. InputError alert.badDeed. */
  deed(input: Exclude<AlertInput, { do: "conditions" | "tick" }>): void {
    this.run.alerts.take(input);
    this.look();
  }

  /** A person lets the program pause by itself, or no more. */
  setAutoPause(isOn: boolean, by: string): void {
    if (isOn === this.autoPause.isOn) return;
    this.ports.record.write(() => ({ drafts: [{ actor: by, at: this.ports.nowIso(), kind: "autoPause.set", payload: { isOn } }], value: null }));
    this.autoPause = { isOn, by };
  }

  /** A person says that a layer may be covered as it is. */
  openGate(layer: number, reason: string, by: string): void {
    this.ports.record.write(() => ({ drafts: [{ actor: by, at: this.ports.nowIso(), kind: "gate.opened", payload: { layer, reason: portableText(reason) } }], value: null }));
    this.opened.add(layer);
    this.look();
  }

  /** It is kept; the log tells of it to a hundredth of a pixel. */
  markedPaste({ device, file, u0Px, v0Px, u1Px, v1Px }: PasteMark, by: string): void {
    const px = (value: number): number => Math.round(100 * value) / 100 + 0;
    const payload = { device: portableText(device), file: portableText(file), u0Px: px(u0Px), v0Px: px(v0Px), u1Px: px(u1Px), v1Px: px(v1Px) };
    this.ports.record.write(() => ({ drafts: [{ actor: by, at: this.ports.nowIso(), kind: "paste.marked", payload }], value: null }));
  }

  /** A stretch was taken off: what stood open along it is decided so. */
  tookOff({ layer, strand, fromMm, toMm, reason }: TakenOff, by: string): void {
    this.ports.record.write(() => ({ drafts: [{ actor: by, at: this.ports.nowIso(), kind: "strand.takenOff", payload: { layer, strand, fromMm, toMm, reason: portableText(reason) } }], value: null }));
    for (const { n, cause: { kind, place }, disposition } of this.run.alerts.standing) {
      if (place !== null && overlaps(place, { layer, strand, fromMm, toMm }) && isFindingKind(kind) && disposition === null) this.run.alerts.take({ do: "dispose", n, by, disposition: "takenOffAndLaidAgain", reason: "laidAgainAtOnce", note: "" });
    }
  }
}

/** null: no finding, or one that is gone. */
function openFinding(alert: Alert): OpenFinding | null {
  const { n, cause: { kind, severity, place }, isOn } = alert;
  return isFindingKind(kind) && isOn && place !== null ? { n, kind, severity, layer: place.layer, isSettled: isSettled(alert) } : null;
}
