/** What the threads of the live server say to each other. Errors travel as plain objects and become errors again. */
import { InputError, type InputCode, type Place } from "../../base/errors.ts";
import type { MeasuredFrame } from "../../model/frameView.ts";
import type { LiveEvents } from "../../model/liveEvent.ts";
import type { LiveFacts } from "../../model/liveFacts.ts";
import type { SectionCut } from "../../model/sectionCut.ts";
import { diskProblem } from "../../source/stage.ts";
import type { KeepBody } from "./keptRun.ts";

export type KeeperCall =
  | { readonly op: "take"; readonly runId: string; readonly body: KeepBody; readonly deviceOnly: string | null }
  | { readonly op: "state" | "end"; readonly runId: string }
  | { readonly op: "ready" | "close" };

/** To a thread that answers calls, and its answer. */
export interface Call<C> { readonly id: number; readonly call: C }
export type Answer = { readonly id: number; readonly value: unknown } | { readonly id: number; readonly error: PlainError };

export interface PlainError { readonly code: InputCode | null; readonly place: Place; readonly message: string; readonly stack: string }

export function plainError(thrown: unknown): PlainError {
  const error = diskProblem(thrown) ?? thrown;
  if (error instanceof InputError) return { code: error.code, place: error.place, message: error.message, stack: "" };
  const { message, stack = "" } = error instanceof Error ? error : new Error(String(error));
  return { code: null, place: {}, message, stack };
}

/** The error again; an InputError keeps code, place and words. */
export function errorOf({ code, place, message, stack }: PlainError): Error {
  if (code === null) return Object.assign(new Error(message), { stack });
  const error = new InputError(code, "", "", place);
  error.message = message;
  return error;
}

/** A station, by its place in its strand. */
export interface StationAt { readonly layer: number; readonly strand: number; readonly station: number }

/** What an engine's thread is told: so many bytes of the journal are kept; a section, or the newest measured frame, is asked for. */
export type EngineTold = { readonly keptBytes: number } | { readonly id: number; readonly cutOf: StationAt } | { readonly id: number; readonly newestFrame: true };

/** What an engine's thread tells. */
export type EngineTelling =
  | { readonly kind: "reading"; readonly value: LiveEvents["reading"] }
  | { readonly kind: "finding"; readonly value: LiveEvents["finding"] }
  | { readonly kind: "bodies"; readonly value: LiveEvents["bodies"] }
  | { readonly kind: "frame"; readonly value: LiveEvents["frame"] }
  | { readonly kind: "facts"; readonly value: LiveFacts }
  | { readonly kind: "newestFrame"; readonly id: number; readonly value: MeasuredFrame | null }
  | { readonly kind: "cut"; readonly id: number; readonly value: SectionCut | null }
  | { readonly kind: "measured"; readonly bytes: number; readonly tS: number; readonly lateCount: number };

/** What a thread that makes a result is asked for. */
export type SettleCall =
  | { readonly op: "soFar"; readonly dataFolder: string; readonly runId: string; readonly end: number }
  | { readonly op: "end"; readonly dataFolder: string; readonly runId: string };
