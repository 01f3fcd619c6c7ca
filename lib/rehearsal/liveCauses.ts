/** What can be made to go wrong while the simulated cell prints, and what is wrong now. */
import { InputError } from "../base/errors.ts";
import { scale, type Vec3 } from "../kernel/vec.ts";

interface CauseWords {
  /** On its button. */
  readonly label: string;
  /** On the button that takes it back; null: it cannot be. */
  readonly undo: string | null;
  readonly about: string;
}

/** Every cause, in the order of the training desk. */
export const CAUSES = {
  clog: { label: "Clog the nozzle", undo: "Clear the nozzle", about: "flow falls to 0.3 of what is asked" },
  airBubble: { label: "Air bubble", undo: "Take the bubble out", about: "a gap of 2.5 mm, beginning 1 mm ahead of the nozzle" },
  overFlow: { label: "Over-flow", undo: "Flow as asked", about: "1.5 times what is asked" },
  drag: { label: "Drag the strand off", undo: null, about: "the newest 5 mm or so behind the nozzle are moved aside" },
  jolt: { label: "Jolt the target", undo: "Register again", about: "all poses reported from now on are 0.4 mm off sideways" },
  cover: { label: "Cover the profiler", undo: "Uncover the profiler", about: "no returns" },
  networkCut: { label: "Cut the network", undo: "Mend the network", about: "nothing is sent for 5 s" },
  takeOff: { label: "Take a stretch off", undo: null, about: "by spatula; it can be laid again from there" },
} as const satisfies Record<string, CauseWords>;
/** Key of a cause, as on the wire of the desk. */
export type CauseKind = keyof typeof CAUSES;
/** All of them, in the order of the desk. */
export const CAUSE_KINDS = Object.keys(CAUSES) as CauseKind[];

/** A piece of a strand, layer and strand from 1, mm along it. */
export interface Place { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number }
/** What is asked for at the desk. */
export interface CauseRequest {
  readonly kind: CauseKind;
  readonly undo: boolean;
  /** Of takeOff, and of no other. */
  readonly place: Place | null;
}

/** Flow against what is asked. */
const CLOG_RATIO = 0.3;
const OVER_RATIO = 1.5;
const BUBBLE_AHEAD_MM = 1;
const BUBBLE_MM = 2.5;
const JOLT_MM = 0.4;
/** Length of a piece dragged off, mm. */
export const DRAG_MM = 5;
/** Such a piece ends so far behind the nozzle, mm. */
export const DRAG_BEHIND_MM = 1.5;

/** A cause as JSON gives it: `{ kind, undo?, layer?, strand?, fromMm?, toMm? }`. InputError command.usage. */
export function readCause(value: unknown): CauseRequest {
  const given = (typeof value === "object" && value !== null ? value : {}) as Record<string, unknown>;
  const kind = CAUSE_KINDS.find((one) => one === given.kind);
  if (kind === undefined) throw new InputError("command.usage", `a kind of ${CAUSE_KINDS.join(", ")}`, JSON.stringify(given.kind) ?? "none", { key: "kind" });
  const undo = given.undo === true;
  if (undo && CAUSES[kind].undo === null) throw new InputError("command.usage", "a cause that can be taken back", kind, { key: "undo" });
  return { kind, undo, place: kind === "takeOff" ? readPlace(given) : null };
}

function readPlace(given: Record<string, unknown>): Place {
  const number = (key: string): number => {
    const value = given[key];
    if (typeof value !== "number" || !Number.isFinite(value)) throw new InputError("command.usage", "a number for takeOff", JSON.stringify(value) ?? "none", { key });
    return value;
  };
  const place = { layer: number("layer"), strand: number("strand"), fromMm: number("fromMm"), toMm: number("toMm") };
  if (!(place.fromMm >= 0 && place.toMm > place.fromMm)) throw new InputError("command.usage", "0 ≤ fromMm < toMm", `${place.fromMm} to ${place.toMm}`, { key: "fromMm" });
  return place;
}

/** A cause as the command line gives it: KIND, or takeOff@LAYER/STRAND/FROM-TO. InputError command.usage. */
export function parseCause(text: string, undo: boolean): CauseRequest {
  const match = /^([A-Za-z]+)(?:@(\d+)\/(\d+)\/([\d.]+)-([\d.]+))?$/.exec(text);
  if (match === null || !CAUSE_KINDS.some((one) => one === match[1]) || (match[2] !== undefined) !== (match[1] === "takeOff")) throw new InputError("command.usage", `KIND of ${CAUSE_KINDS.join(", ")}, takeOff with @LAYER/STRAND/FROM-TO`, JSON.stringify(text), { key: "--cause" });
  const place = match[2] === undefined ? {} : { layer: Number(match[2]), strand: Number(match[3]), fromMm: Number(match[4]), toMm: Number(match[5]) };
  return readCause({ kind: match[1], undo, ...place });
}

/** What is wrong at present with flow, sight and poses. */
export class Wrong {
  clogged = false;
  overFlowing = false;
  covered = false;
  /** Added to every reported position, mm in `plan`. */
  joltMm: Vec3 | null = null;
  private bubbleAheadMm = Number.NaN;
  private bubbleLeftMm = 0;

  putBubble(): void {
    this.bubbleAheadMm = BUBBLE_AHEAD_MM;
    this.bubbleLeftMm = BUBBLE_MM;
  }
  /** Takes out what has not come out yet. */
  dropBubble(): void { this.bubbleLeftMm = 0; }
  get bubble(): boolean { return this.bubbleLeftMm > 0; }

  /** Sideways as the nozzle travels. */
  jolt(lateral: Vec3): void { this.joltMm = scale(lateral, JOLT_MM); }

  /** Share of the flow asked for that comes, over the next `lengthMm` of strand; a bubble passes by as strand is laid. */
  takeFlowRatio(lengthMm: number): number {
    const ratio = (this.clogged ? CLOG_RATIO : 1) * (this.overFlowing ? OVER_RATIO : 1);
    if (this.bubbleLeftMm <= 0) return ratio;
    if (this.bubbleAheadMm >= lengthMm) {
      this.bubbleAheadMm -= lengthMm;
      return ratio;
    }
    const air = Math.min(this.bubbleLeftMm, lengthMm - this.bubbleAheadMm);
    this.bubbleAheadMm = 0;
    this.bubbleLeftMm -= air;
    return ratio * (1 - air / lengthMm);
  }

  /** Pressure against a nozzle that is clear: a clog holds back, air gives way. */
  get pressureRatio(): number {
    return (this.clogged ? 1.9 : 1) * (this.overFlowing ? OVER_RATIO : 1) * (this.bubble && this.bubbleAheadMm === 0 ? 0.4 : 1);
  }
}
