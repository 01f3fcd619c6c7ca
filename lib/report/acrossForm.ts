/** Reads what is asked of the charts across runs. */
import { parseDecimal } from "../base/text.ts";
import { ACROSS_CHARTS, ACROSS_FIELDS, ACROSS_METRICS, ACROSS_SOURCES, type AcrossField, type AcrossForm, type AcrossQuery } from "../model/across.ts";

export type AskedAcross = { readonly query: AcrossQuery; readonly errors: null } | { readonly query: null; readonly errors: Partial<Record<AcrossField, string>> };

/** Common practice (from memory): a weight of 0.2 and limits at 3 standard deviations. */
export const EWMA_DEFAULTS = { lambda: 0.2, width: 3 } as const;

/** A parameter that comes twice counts once, unknown ones do not count. */
export function acrossForm(parameters: Readonly<Record<string, string | readonly string[] | undefined>>): AcrossForm {
  const valueOf = (field: AcrossField): string => {
    const value = parameters[field];
    return (typeof value === "string" ? value : value?.[0] ?? "").trim();
  };
  return Object.fromEntries(ACROSS_FIELDS.map((field) => [field, valueOf(field)])) as AcrossForm;
}

/** A decimal, with a true minus or a hyphen; null: none, or one that no chart could show. */
function numberOf(text: string): number | null {
  const value = parseDecimal(text.replace(/^−/, "-"));
  return Math.abs(value) < 1e12 ? value : null;
}

/** What each number may be, in words. */
const ALLOWED: Readonly<Partial<Record<AcrossField, { readonly words: string; readonly isGood: (value: number) => boolean }>>> = {
  nozzle: { words: "an inner diameter above 0, mm", isGood: (value) => value > 0 }, centre: { words: "a number", isGood: () => true }, sd: { words: "a number above 0", isGood: (value) => value > 0 },
  lambda: { words: "a number above 0 and at most 1", isGood: (value) => value > 0 && value <= 1 }, width: { words: "a number above 0", isGood: (value) => value > 0 },
  slack: { words: "a number of at least 0", isGood: (value) => value >= 0 }, decision: { words: "a number above 0", isGood: (value) => value > 0 },
};

/** The query, or one sentence a field that cannot be read. */
export function readAcrossForm(form: AcrossForm): AskedAcross {
  const errors: Partial<Record<AcrossField, string>> = {};
  const chosen = <T extends string>(field: "metric" | "chart", all: readonly T[]): T => {
    const found = form[field] === "" ? all[0] : all.find((each) => each === form[field]);
    if (found === undefined) errors[field] = `expected ${all.join(", ")} or nothing, got “${form[field]}”`;
    return found ?? (all[0] as T);
  };
  const source = ACROSS_SOURCES.find((each) => each === form.source) ?? null;
  if (form.source !== "" && source === null) errors.source = `expected ${ACROSS_SOURCES.join(", ")} or nothing, got “${form.source}”`;
  const number = (field: AcrossField): number | null => {
    const value = numberOf(form[field]), allowed = ALLOWED[field];
    if (form[field] !== "" && (value === null || allowed?.isGood(value) === false)) errors[field] = `expected ${allowed?.words ?? "a number"} or nothing, got “${form[field]}”`;
    return value;
  };
  const query: AcrossQuery = {
    metric: chosen("metric", ACROSS_METRICS), chart: chosen("chart", ACROSS_CHARTS), lot: form.lot === "" ? null : form.lot, nozzleMm: number("nozzle"), cell: form.cell === "" ? null : form.cell, source,
    centre: number("centre"), sd: number("sd"), lambda: number("lambda") ?? EWMA_DEFAULTS.lambda, width: number("width") ?? EWMA_DEFAULTS.width, slack: number("slack"), decision: number("decision"),
  };
  return Object.keys(errors).length > 0 ? { query: null, errors } : { query, errors: null };
}
