/** What the page of a run that lives shows, ready to be drawn: made by the server, first with the page and then again and again while it is open. */
import type { RunState } from "./liveRun.ts";
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
}

/** Everything on the page that is said in words. */
export interface LiveWords {
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
  readonly alerts: readonly string[];
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
}

/** One line of the register for a run that is not over. */
export interface OpenRunLine { readonly head: SheetHead; readonly state: string; readonly since: string; readonly headline: string }

/** What a person asks of the cell on the page of its run. A pause and an abort carry no name: they are never held up by one. */
export type CellAsk =
  | { readonly kind: "pause"; readonly at: "now" | "strandEnd" | "layerEnd" }
  | { readonly kind: "abort" }
  | { readonly kind: "resume"; readonly layer: number; readonly strand: number; readonly sMm: number; readonly overlapMm: number; readonly actor: string };
