"use client";
import { useEffect, useState } from "react";
import { fieldTexts, type FieldTexts, type PrepareOffer, type PrepareProblem, type PrepareSheet, type PrepareTemplate } from "../../lib/model/prepare.ts";
import type { ChosenFile } from "../import/chosenFiles.ts";
import { pickFiles, planNamedBy } from "./chosen.ts";

/** Typing rests before what was typed is checked, ms. */
const REST_MS = 350;

export type Answered<T> = { readonly given: T } | { readonly problem: PrepareProblem };

const NO_ANSWER: PrepareProblem = { code: "source.stopped", message: "expected an answer of the server, got none", place: {} };

/** Rejects only where the signal has come. */
export async function send<T>(path: string, body: object | null, signal?: AbortSignal): Promise<Answered<T>> {
  try {
    const response = await fetch(path, { cache: "no-store", ...(body === null ? {} : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) }), ...(signal === undefined ? {} : { signal }) });
    const told = await response.json() as T & { readonly problem?: PrepareProblem | null };
    return response.ok ? { given: told } : { problem: told.problem ?? NO_ANSWER };
  } catch (error) {
    if (signal?.aborted === true) throw error;
    return { problem: NO_ANSWER };
  }
}

/** What is on the page: files, what was typed over the job, and where the files are from. */
export interface Draft extends PrepareOffer {
  /** "as run X"; "": chosen here. */
  readonly origin: string;
  /** What was chosen and is neither job nor plan; "": nothing. */
  readonly odd: string;
}

const EMPTY: Draft = { jobText: "", planText: "", planName: "", fields: {}, origin: "", odd: "" };

function textsOf(jobText: string): FieldTexts {
  try {
    return fieldTexts(JSON.parse(jobText));
  } catch {
    return {}; // the server says where it is no JSON
  }
}

export function fromTemplate({ name, jobText, planText, planName }: PrepareTemplate): Draft {
  return { jobText, planText, planName, fields: textsOf(jobText), origin: `as run “${name}”`, odd: "" };
}

async function withFiles(draft: Draft, files: readonly ChosenFile[]): Promise<Draft> {
  const jobFirst = pickFiles(files, null).job, jobText = jobFirst === null ? draft.jobText : await jobFirst.file.text();
  const { job, plan, oddWords } = pickFiles(files, planNamedBy(jobText));
  const withJob = job === null ? draft : { ...draft, jobText, fields: textsOf(jobText), origin: "" };
  return { ...withJob, ...(plan === null ? {} : { planText: await plan.file.text(), planName: plan.path.split("/").at(-1) ?? plan.path, origin: "" }), odd: oddWords ?? "" };
}

export type Checked = { readonly state: "none" | "asking" } | { readonly state: "told"; readonly answer: Answered<PrepareSheet> };

export interface Preparing {
  readonly draft: Draft;
  readonly checked: Checked;
  /** What was last known, while the newest change is being checked. */
  readonly before: PrepareSheet | null;
  readonly choose: (files: readonly ChosenFile[]) => Promise<void>;
  readonly startFrom: (template: PrepareTemplate) => void;
  readonly type: (key: string, text: string) => void;
}

/** A run that is being prepared: each change is checked by the server once it rests. */
export function usePrepare(template: PrepareTemplate | null): Preparing {
  const [draft, setDraft] = useState<Draft>(() => (template === null ? EMPTY : fromTemplate(template)));
  const [told, setTold] = useState<{ readonly of: Draft; readonly answer: Answered<PrepareSheet> } | null>(null);
  const isWhole = draft.jobText !== "" && draft.planText !== "";
  useEffect(() => {
    if (!isWhole) return undefined;
    const abort = new AbortController();
    const rest = setTimeout(() => {
      const { jobText, planText, planName, fields } = draft;
      send<PrepareSheet>("/api/prepare/check", { jobText, planText, planName, fields }, abort.signal).then((answer) => setTold({ of: draft, answer }), () => undefined);
    }, REST_MS);
    return () => {
      clearTimeout(rest);
      abort.abort();
    };
  }, [draft, isWhole]);
  return {
    draft, checked: !isWhole ? { state: "none" } : told?.of === draft ? { state: "told", answer: told.answer } : { state: "asking" },
    before: told !== null && "given" in told.answer ? told.answer.given : null,
    choose: async (files) => setDraft(await withFiles(draft, files)),
    startFrom: (from) => setDraft(fromTemplate(from)),
    type: (key, text) => setDraft((before) => ({ ...before, fields: { ...before.fields, [key]: text } })),
  };
}
