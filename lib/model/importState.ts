/** What the server and the page that brings a run in say to each other, as JSON. */
import type { InputCode, Place } from "../base/errors.ts";

export type ImportKind = "folder" | "zip";

/** What is going to be sent: the query of `POST /api/imports`. */
export interface ImportOffer {
  readonly kind: ImportKind;
  /** Of the folder or the zip, for people. */
  readonly name: string;
  /** Of a zip: 1. */
  readonly fileCount: number;
  readonly byteCount: number;
}

/**
 * receiving: files are being sent. waiting: another run is being brought in first. unpacking, measuring: as they say.
 * done, failed, cancelled: over; nothing is left of it but, when done, the run.
 */
export type ImportStep = "receiving" | "waiting" | "unpacking" | "measuring" | "done" | "failed" | "cancelled";

/** An InputError as it travels. */
export interface ImportProblem {
  readonly code: InputCode;
  /** "expected …, got …", without the place. */
  readonly message: string;
  readonly place: Place;
}

/** `GET /api/imports/ID`. */
export interface ImportState {
  readonly importId: string;
  readonly offer: ImportOffer;
  readonly step: ImportStep;
  readonly receivedFileCount: number;
  readonly receivedByteCount: number;
  /** Out of the zip so far. */
  readonly unpackedFileCount: number;
  readonly unpackedByteCount: number;
  /** Share of what the run's files need for reading and copying that is done; measuring comes after. */
  readonly readFraction: number;
  /** Profiles measured so far, and the reference time of the last message, s (null: none yet). */
  readonly profileCount: number;
  readonly measuredUntilS: number | null;
  /** Why it failed; null while it did not, and where the program itself failed (a bug, which stands in the server's output). */
  readonly problem: ImportProblem | null;
  /** The run that came of it; null before it is done. */
  readonly runId: string | null;
  /** False: it was here already. */
  readonly isNew: boolean | null;
}

/** It goes on no more. */
export function isOver({ step }: Pick<ImportState, "step">): boolean {
  return step === "done" || step === "failed" || step === "cancelled";
}
