/** Reads what somebody asks of the register, and says in a sentence what was asked and what was found. */
import { spanMs } from "../base/rfc3339.ts";
import { hasControl } from "../base/text.ts";
import { FIND_FIELDS, FIND_VERDICTS, type FindField, type FindForm, type FindQuery, type FindVerdict } from "../model/findRuns.ts";
import { counted } from "./words.ts";

/** Longest text of a field that is looked for. */
const MOST_CHARS = 200;
/** Unix ms of the years 0000 to 9999, which ISO text sorts by. */
const EARLIEST_MS = new Date("0000-01-01T00:00:00.000Z").getTime(), LATEST_MS = Date.UTC(9999, 11, 31, 23, 59, 59, 999);

/** In an address that somebody typed a plus sign is a space. */
const LOST_PLUS = /^(\S+[Tt]\S+) (\d\d:\d\d)$/;

export type Asked = { readonly query: FindQuery; readonly errors: null } | { readonly query: null; readonly errors: Partial<Record<FindField, string>> };

/** The form out of an address: a parameter that comes twice counts once, unknown ones do not count. */
export function findForm(parameters: Readonly<Record<string, string | readonly string[] | undefined>>): FindForm {
  const valueOf = (field: FindField): string => {
    const value = parameters[field], text = (typeof value === "string" ? value : value?.[0] ?? "").trim();
    return field === "from" || field === "to" ? text.replace(LOST_PLUS, "$1+$2") : text;
  };
  return Object.fromEntries(FIND_FIELDS.map((field) => [field, valueOf(field)])) as FindForm;
}

const orNull = (text: string): string | null => (text === "" ? null : text);
const isVerdict = (text: string): text is FindVerdict => FIND_VERDICTS.some((each) => each === text);

/** ISO text of an instant to the ms that keeps it inside: the beginning upwards, the end downwards. */
function isoWithin(ms: number, up: boolean): string {
  return new Date(Math.min(LATEST_MS, Math.max(EARLIEST_MS, up ? Math.ceil(ms) : Math.floor(ms)))).toISOString();
}

function dateError(text: string): string {
  return `expected a date such as 2026-02-03, or an instant with its offset such as 2026-02-03T09:12:00+01:00 (RFC 3339), got “${text}”`;
}

/** What the form asks, or one sentence a field that cannot be read. */
export function readFindForm(form: FindForm): Asked {
  const from = spanMs(form.from), to = spanMs(form.to), errors: Partial<Record<FindField, string>> = {};
  for (const field of FIND_FIELDS) if (form[field].length > MOST_CHARS) errors[field] = `expected at most ${MOST_CHARS} characters, got ${form[field].length}`;
  for (const field of FIND_FIELDS) if (hasControl(form[field])) errors[field] = "expected text without control characters, got one with";
  if (form.from !== "" && from === null) errors.from ??= dateError(form.from);
  if (form.to !== "" && to === null) errors.to ??= dateError(form.to);
  if (from !== null && to !== null && to.toMs < from.fromMs) errors.to = `expected an end that is not before the beginning, ${form.from}, got ${form.to}`;
  if (form.verdict !== "" && !isVerdict(form.verdict)) errors.verdict = `expected ${FIND_VERDICTS.join(", ")} or nothing, got “${form.verdict}”`;
  if (!["", "yes", "no"].includes(form.signed)) errors.signed = `expected yes, no or nothing, got “${form.signed}”`;
  if (Object.keys(errors).length > 0) return { query: null, errors };
  const query: FindQuery = {
    text: orNull(form.text), material: orNull(form.material), lot: orNull(form.lot), device: orNull(form.device), person: orNull(form.person),
    fromAt: from === null ? null : isoWithin(from.fromMs, true), toAt: to === null ? null : isoWithin(to.toMs, false),
    verdict: isVerdict(form.verdict) ? form.verdict : null, isSigned: form.signed === "" ? null : form.signed === "yes",
  };
  return { query, errors: null };
}

export const VERDICT_CHOICES: Readonly<Record<FindVerdict, string>> = { acceptable: "acceptable", notAcceptable: "not acceptable", nothing: "nothing to say" };
const VERDICT_CLAUSES: Readonly<Record<FindVerdict, string>> = { acceptable: "that are acceptable", notAcceptable: "that are not acceptable", nothing: "of which nothing can be said" };

/** "2026-02-03", or the instant as it is in UTC where one was asked. */
function dateText(typed: string, at: string): string {
  return /^\d{4}-\d\d-\d\d$/.test(typed) ? typed : `${at.replace("T", " ").replace(/\.000Z$/, "").replace(/Z$/, "")} UTC`;
}

function clauses(form: FindForm, query: FindQuery): string[] {
  const { fromAt, toAt } = query;
  return [
    query.text === null ? null : `whose name, specimen or id holds “${query.text}”`,
    fromAt !== null && toAt !== null ? `from ${dateText(form.from, fromAt)} to ${dateText(form.to, toAt)}` : fromAt !== null ? `from ${dateText(form.from, fromAt)} on` : toAt !== null ? `up to ${dateText(form.to, toAt)}` : null,
    query.material === null ? null : `with a material that holds “${query.material}”`,
    query.lot === null ? null : `with a lot that holds “${query.lot}”`,
    query.device === null ? null : `with the device “${query.device}”`,
    query.person === null ? null : `in which “${query.person}” acted`,
    query.verdict === null ? null : VERDICT_CLAUSES[query.verdict],
    query.isSigned === null ? null : query.isSigned ? "that are signed" : "that are not signed",
  ].filter((clause) => clause !== null);
}

/** "Runs with a lot that holds “A1”, that are not signed: three were found, newest first." */
export function findSentence(form: FindForm, query: FindQuery, foundCount: number): string {
  const asked = clauses(form, query);
  if (asked.length === 0) return foundCount === 0 ? "No runs are kept yet." : `All runs: ${counted(foundCount, "run")}, newest first.`;
  return `Runs ${asked.join(", ")}: ${foundCount === 0 ? "none was found." : `${counted(foundCount, "", "").trim()} ${foundCount === 1 ? "was" : "were"} found${foundCount === 1 ? "" : ", newest first"}.`}`;
}

/** While a field cannot be read. */
export function findErrorSentence(errors: Partial<Record<FindField, string>>): string {
  const count = Object.keys(errors).length;
  return `Nothing was looked for: ${count === 1 ? "one field" : counted(count, "field")} cannot be read.`;
}
