/** The public wire as a client sees it: one request, one answer, or none. */
import { InputError } from "../base/errors.ts";

/** One call. */
export interface WireRequest {
  readonly method: "GET" | "POST";
  /** Under /api/v1, beginning with a slash. */
  readonly path: string;
  readonly contentType?: string;
  readonly body?: Uint8Array;
  readonly idempotencyKey?: string;
}
/** A whole answer. */
export interface Answer {
  readonly status: number;
  /** Of a Retry-After in seconds; null where there is none (a date is not read). */
  readonly retryAfterS: number | null;
  readonly text: string;
}
/** Rejects where no whole answer came. */
export type Wire = (request: WireRequest, signal: AbortSignal) => Promise<Answer>;

/** A wire to the server at `url` (http or https). Redirects are not followed: the token goes there and nowhere else. InputError command.usage. */
export function openWire(url: string, token: string): Wire {
  const base = readBase(url);
  return async ({ method, path, contentType, body, idempotencyKey }, signal) => {
    const headers: Record<string, string> = { authorization: `Bearer ${token}` };
    if (contentType !== undefined) headers["content-type"] = contentType;
    if (idempotencyKey !== undefined) headers["idempotency-key"] = idempotencyKey;
    const response = await fetch(`${base}/api/v1${path}`, { method, headers, signal, redirect: "manual", ...(body === undefined ? {} : { body: body as Uint8Array<ArrayBuffer> }) });
    const text = await response.text(), wait = Number(response.headers.get("retry-after") ?? Number.NaN);
    return { status: response.status, retryAfterS: Number.isFinite(wait) && wait >= 0 ? wait : null, text };
  };
}

function readBase(url: string): string {
  const refuse = (): never => { throw new InputError("command.usage", "an address such as http://127.0.0.1:4312", JSON.stringify(url), { key: "--live" }); };
  if (!URL.canParse(url)) return refuse();
  const { protocol, origin, pathname, username, search, hash } = new URL(url);
  if ((protocol !== "http:" && protocol !== "https:") || username !== "" || search !== "" || hash !== "") refuse();
  return `${origin}${pathname.replace(/\/+$/, "")}`;
}
