/** What the page of a run that lives shows, ready to be drawn: made by the server, first with the page and then again and again while it is open. */
import type { AlertLine } from "./alert.ts";
import type { Disposition } from "./disposition.ts";
import type { BeadShape } from "./job.ts";
import type { RunState } from "./liveRun.ts";
import type { PickedReason } from "./reason.ts";
import type { Fact, SheetFinding, SheetHead, SheetLayer } from "./sheet.ts";

/** Something that the cell was asked for. */
export interface CommandLine {
  readonly n: number;
  /** "pause at the strand's end" */
  readonly what: string;
  readonly by: string;
  /** ISO 8601, UTC. */
  readonly askedAt: string;
  /** "done", "refused: the arm is homing", "waits for the cell's answer". */
  readonly outcome: string;
  readonly isOpen: boolean;
  /** From asking to fetching, and from asking to the receipt, s; null: not yet. */
  readonly sentAfterS: number | null;
  readonly answeredAfterS: number | null;
}

/** A place along a strand as planned. */
export interface StrandPlace { readonly layer: number; readonly strand: number; readonly sMm: number }

/** How long the paste still works. */
export interface PasteClock {
  /** When it stops working, ISO 8601, UTC. */
  readonly endsAt: string;
  /** Below 0: it is over. */
  readonly leftS: number;
  readonly workingTimeS: number;
  /** Laying what is left at the planned speed, moves between strands not counted, s; null: not known yet. */
  readonly toPrintS: number | null;
}

/** How long ago something was heard, by the server's clock. */
export interface HeardLine { readonly name: string; readonly agoS: number | null; readonly isSilent: boolean }

/** The layer gate: the next layer does not bury what is open. */
export interface GateLine { readonly layer: number; readonly isHeld: boolean; readonly words: string }

/** Camera frames of a run that lives. */
export interface LiveFrameLines {
  /** The newest that was measured; null: none yet. `ageWords` null: nobody knows how old it is. `mayMark`: a person can say where it shows paste. */
  readonly newest: { readonly file: string; readonly tS: number; readonly used: boolean; readonly words: string; readonly ageWords: string | null; readonly mayMark: boolean } | null;
  /** "Twelve frames kept, eleven measured, one passed over." */
  readonly countWords: string;
}

/** Everything on the page that is said in words. */
export interface LiveWords {
  /** Now by the server's clock, ISO 8601, UTC: a screen's own may be wrong. */
  readonly at: string;
  readonly headline: string;
  readonly detail: string;
  /** null: nothing to do. */
  readonly advice: string | null;
  readonly state: RunState;
  /** True: no more data come; false while its end is only asked for. */
  readonly isOver: boolean;
  /** Commands and the end can be asked for. */
  readonly mayAsk: boolean;
  /** The newest reading is so old that the picture loses its ink. */
  readonly isOld: boolean;
  /** "0.4 s"; null: there is no reading. */
  readonly ageWords: string | null;
  /** Worst first. */
  readonly findings: readonly SheetFinding[];
  /** Findings beyond those. */
  readonly moreFindings: number;
  /** Most urgent first, those that are shelved last. */
  readonly alerts: readonly AlertLine[];
  /** "312 more: 290 gaps, 22 lifted strands"; "": all are there. */
  readonly moreAlerts: string;
  /** "No paste is coming on strand 4 of layer 2 since 0.0 mm": said before it is long enough to be a finding; null: nothing of the kind. */
  readonly early: string | null;
  /** null: the job states no working time, or its clock has not started. */
  readonly paste: PasteClock | null;
  /** Devices, progress, and the cell's own asking for commands. */
  readonly heard: readonly HeardLine[];
  /** Where the nozzle is by the newest progress, and how far the newest reading lies behind it along the strand, mm; null: no progress, or another strand. */
  readonly nozzle: (StrandPlace & { readonly behindMm: number | null; readonly isLaying: boolean }) | null;
  /** null: no layer is being laid. */
  readonly gate: GateLine | null;
  /** Whether the program may ask for a pause by itself, and who changed that. */
  readonly autoPause: { readonly isOn: boolean; readonly by: string | null };
  /** Where the first touch asks the cell to pause. */
  readonly pauseAt: "now" | "strandEnd" | "layerEnd";
  /** Where to go on: after the last proven station; null: nothing is proven yet. */
  readonly resumeAt: (StrandPlace & { readonly words: string }) | null;
  /** null: the job has no camera. */
  readonly frames: LiveFrameLines | null;
  readonly health: readonly Fact[];
  /** Newest first. */
  readonly commands: readonly CommandLine[];
  /** Where the newest reading lies; null: there is none. */
  readonly newest: { readonly layer: number; readonly strand: number; readonly stationIndex: number; readonly sMm: number } | null;
}

export interface LiveSheet {
  readonly head: SheetHead;
  /** Since when it is in this state, ISO 8601, UTC. */
  readonly since: string;
  readonly layers: readonly SheetLayer[];
  readonly words: LiveWords;
  /** Events after this one are not in it; null: nothing comes any more. */
  readonly eventId: string | null;
  /** Of the job's policy: how far before the place a resumed strand begins, mm. */
  readonly overlapMm: number;
  readonly beadShape: BeadShape;
}

/** One line of the register for a run that is not over. */
export interface OpenRunLine { readonly head: SheetHead; readonly state: string; readonly since: string; readonly headline: string; readonly pauseAt: LiveWords["pauseAt"]; readonly mayAsk: boolean }

/** What a person asks of the cell on the page of its run. A pause and an abort never ask who it is. */
export type CellAsk =
  | { readonly kind: "pause"; readonly at: "now" | "strandEnd" | "layerEnd" }
  | { readonly kind: "abort" }
  | { readonly kind: "resume"; readonly layer: number; readonly strand: number; readonly sMm: number; readonly overlapMm: number };

/** What a person does about an alert. `note`: "" for none. */
export type AlertDeed =
  | { readonly do: "acknowledge"; readonly n: number }
  | ({ readonly do: "shelve"; readonly n: number; readonly forS: number } & PickedReason)
  | { readonly do: "unshelve"; readonly n: number }
  | { readonly do: "note"; readonly n: number; readonly note: string }
  | ({ readonly do: "dispose"; readonly n: number; readonly disposition: Disposition } & PickedReason);

/** A stretch that a person has taken off, and why in words. */
/** A rectangle of a frame in which a person says that all is paste; pixels as in paste.csv. */
export interface PasteMark { readonly device: string; readonly file: string; readonly u0Px: number; readonly v0Px: number; readonly u1Px: number; readonly v1Px: number }
export interface TakenOff { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number; readonly reason: string }
