/** Making a run before a print: the fields that a person may type over a job, and what the page shows of the checks. */
import type { Warning } from "../base/errors.ts";
import type { ImportProblem } from "./importState.ts";
import type { PreflightSheet } from "./preflight.ts";
import type { BandWords, Fact } from "./sheet.ts";

export interface PrepareField {
  /** Dotted key in job.json. */
  readonly key: string;
  readonly label: string;
  /** "": none. */
  readonly unit: string;
  readonly kind: "text" | "number";
  /** What stands there where nothing is typed; null: it has to be typed. */
  readonly blank: string | null;
  /** Of four in a row of the form. */
  readonly columns: 1 | 2;
}

/** In the order of the form. */
export const PREPARE_FIELDS: readonly PrepareField[] = [
  { key: "name", label: "Name", unit: "", kind: "text", blank: null, columns: 2 },
  { key: "specimen", label: "Specimen", unit: "", kind: "text", blank: "none", columns: 2 },
  { key: "material.lot", label: "Lot", unit: "", kind: "text", blank: "none", columns: 2 },
  { key: "material.workingTimeS", label: "Working time", unit: "s", kind: "number", blank: "not stated", columns: 2 },
  { key: "nozzle.innerDiameterMm", label: "Nozzle bore", unit: "mm", kind: "number", blank: null, columns: 1 },
  { key: "nozzle.outerDiameterMm", label: "Tip outside", unit: "mm", kind: "number", blank: null, columns: 1 },
  { key: "nozzle.coneAngleDeg", label: "Cone", unit: "°", kind: "number", blank: null, columns: 1 },
  { key: "nozzle.lengthMm", label: "Nozzle length", unit: "mm", kind: "number", blank: "not stated", columns: 1 },
  { key: "acceptance.minMeasuredFraction", label: "Measured, at least", unit: "", kind: "number", blank: "0.95 if blank", columns: 1 },
  { key: "acceptance.minInBandFraction", label: "In band, at least", unit: "", kind: "number", blank: "0.9 if blank", columns: 1 },
  { key: "acceptance.maxActFindings", label: "Act findings, at most", unit: "", kind: "number", blank: "0 if blank", columns: 1 },
];

/** What is typed, by key. */
export type FieldTexts = Readonly<Record<string, string>>;

function valueAt(root: unknown, key: string): unknown {
  return key.split(".").reduce<unknown>((at, part) => (typeof at === "object" && at !== null ? (at as Record<string, unknown>)[part] : undefined), root);
}

/** The fields' texts of a parsed job; "" where it says nothing. */
export function fieldTexts(job: unknown): FieldTexts {
  return Object.fromEntries(PREPARE_FIELDS.map(({ key }) => {
    const value = valueAt(job, key);
    return [key, typeof value === "string" || typeof value === "number" ? String(value) : ""];
  }));
}

/** The job with what was typed in its place; a blank takes the key out, and what is no number stays a text, which the job's schema then refuses by its key. */
export function withFieldTexts(job: unknown, texts: FieldTexts): unknown {
  return PREPARE_FIELDS.reduce((made, { key, kind }) => {
    const text = texts[key]?.trim();
    return text === undefined ? made : withValue(made, key.split("."), text === "" ? undefined : kind === "number" && Number.isFinite(Number(text)) ? Number(text) : text);
  }, job);
}

/** A copy with a value at a path, or without it where the value is undefined. What is no object stays what it is: the schema says so. */
function withValue(owner: unknown, [first, ...rest]: readonly string[], value: unknown): unknown {
  if (first === undefined) return value;
  if (typeof (owner ?? {}) !== "object" || Array.isArray(owner)) return owner;
  const all = (owner ?? {}) as Readonly<Record<string, unknown>>, { [first]: before, ...others } = all, next = withValue(before, rest, value);
  if (next === undefined) return owner === undefined ? undefined : others;
  return { ...all, [first]: next }; // a key that was there keeps its place
}

/** What a page sends: files as they were chosen, and what was typed over the job. */
export interface PrepareOffer {
  readonly jobText: string;
  readonly planText: string;
  /** Name of the plan's file as it was chosen. */
  readonly planName: string;
  readonly fields: FieldTexts;
}

/** Files of an earlier run, for the next one. */
export interface PrepareTemplate { readonly name: string; readonly jobText: string; readonly planText: string; readonly planName: string }

/** The plan's strands seen along their mean normal, mm to the right and down from the picture's corner. */
export interface PlanPicture {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly words: string;
  /** Layer by layer; places of a strand as [x, y, x, y …]. */
  readonly strands: readonly { readonly layer: number; readonly places: readonly number[] }[];
}

/** What can be said of job and plan alone. */
export interface PlanChecks {
  readonly preflight: PreflightSheet;
  readonly actCount: number;
  readonly layingTimeS: number;
  readonly stationCount: number;
  readonly bands: readonly BandWords[];
  readonly job: readonly Fact[];
  readonly warnings: readonly Warning[];
  readonly picture: PlanPicture;
}

export interface DeviceLine {
  readonly id: string;
  readonly kind: string;
  /** Tokens that may speak for it, each with when it was last heard; empty: none, and nothing can come of it. */
  readonly tokens: readonly { readonly name: string; readonly heard: string }[];
}

/** The whole page of checks. */
export interface PrepareSheet extends Omit<PlanChecks, "actCount" | "layingTimeS" | "stationCount"> {
  readonly headline: string;
  readonly detail: string;
  readonly rehearsal: boolean;
  readonly disk: { readonly isEnough: boolean; readonly sentence: string; readonly assumption: string };
  readonly devices: readonly DeviceLine[];
}

export type PrepareProblem = ImportProblem;
