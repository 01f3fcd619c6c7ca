/** What a run's events tell the screens while it lives (GET /runs/{runId}/events). */
import type { Alert } from "./alert.ts";
import type { RunState } from "./liveRun.ts";
import type { UnusedReason } from "./frame.ts";
import type { BodyFinding, CameraFinding, StrandFinding, SupportKind, Verdict } from "./result.ts";
import type { NumberedCommand } from "./wire.ts";

/** A reading as a screen needs it; null where a flank was not seen. Verdict `removed`: what stood there was taken off, and nothing stands any more. */
export interface LiveReading {
  readonly layer: number;
  readonly strand: number;
  readonly stationIndex: number;
  readonly sMm: number;
  readonly attempt: number;
  /** Of the profile, by its device's clock. */
  readonly tS: number;
  /** Stamp of the profile that completed it: the pass has gone by the station. */
  readonly byS: number;
  /** Seconds from laying to the reading. */
  readonly ageS: number | null;
  readonly widthMm: number | null;
  readonly heightMm: number | null;
  readonly areaRatio: number;
  readonly offsetMm: number | null;
  /** One standard uncertainty each. */
  readonly uWidthMm: number | null;
  readonly uHeightMm: number | null;
  readonly uAreaMm2: number | null;
  readonly uOffsetMm: number | null;
  /** null: nothing stands. */
  readonly support: SupportKind | null;
  readonly sagMm: number | null;
  readonly coverage: number;
  readonly verdict: Verdict;
  readonly proven: boolean;
}

/** How far keeping and measuring have come. */
export interface LiveHealth {
  /** Bytes kept, and of those the measured ones. */
  readonly keptBytes: number;
  readonly measuredBytes: number;
  /** By the senders' stamps: how much later the newest kept profile is than the newest measured one, s. */
  readonly backlogS: number;
  readonly counts: Readonly<Record<string, number>>;
  /** Profiles that came too late to be measured live; the end of the run measures them. */
  readonly lateCount: number;
  /** Room on the disk of the data folder, bytes; and how long it lasts at the rate of this run's last minute, s; null: no rate yet. */
  readonly freeBytes: number;
  readonly lastsS: number | null;
}

/** Camera frames so far: kept, and of those measured at once, and left for the end of the run since newer ones had come. */
export interface LiveFrames {
  readonly keptCount: number;
  readonly measuredCount: number;
  readonly skippedCount: number;
  /** Of those that were measured; null: none was yet. `reason`: why it settles nothing; null: it is used. */
  readonly newest: { readonly file: string; readonly device: string; readonly tS: number; readonly used: boolean; readonly reason: UnusedReason | null; readonly separability: number | null; readonly poseErrorMm: number | null } | null;
  /** As they stand: what hangs at the nozzle, and cameras that are not where they say. What frames find along strands and off the path is told with those. */
  readonly findings: readonly CameraFinding[];
}

export interface LiveEvents {
  state: { readonly state: RunState; readonly ending: boolean; readonly reason: string };
  reading: readonly LiveReading[];
  /** All findings of one strand as they stand. */
  finding: { readonly layer: number; readonly strand: number; readonly findings: readonly StrandFinding[] };
  /** All bodies off the path of one layer as they stand. */
  bodies: { readonly layer: number; readonly findings: readonly BodyFinding[] };
  frame: LiveFrames;
  /** An alert as it is since its last change; null: back to normal. */
  alert: { readonly n: number; readonly alert: Alert | null };
  command: NumberedCommand | { readonly n: number; readonly outcome: string; readonly note: string };
  health: LiveHealth;
}
export type LiveEventKind = keyof LiveEvents;

/** All kinds, in the order in which they are named: whoever counts events has to hear every one. */
export const LIVE_EVENT_KINDS = Object.keys({ state: 0, reading: 0, finding: 0, bodies: 0, frame: 0, alert: 0, command: 0, health: 0 } satisfies Record<LiveEventKind, 0>) as readonly LiveEventKind[];
