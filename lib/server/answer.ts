/** How a route answers: only to pages of this server, in JSON, errors with their status. */
import { hostname } from "node:os";
import { InputError } from "../base/errors.ts";
import type { Deed } from "../model/person.ts";
import { passDoor, type Actor, type Door } from "./people/actor.ts";
import type { WaitError } from "./people/delays.ts";
import { problemOf, statusOf } from "./problem.ts";

/** Seconds after which a busy server may be asked again. */
const RETRY_AFTER_S = 10;

/** Runs `work` for a request that a page of this server sent and that passes the door, and answers with what it gives, as JSON. A deed's work is told who does it. */
export function answer<T>(request: Request, door: Deed | (() => Deed), work: (actor: Actor) => T | Promise<T>): Promise<Response>;
export function answer<T>(request: Request, door: Door, work: (actor: Actor | null) => T | Promise<T>): Promise<Response>;
export function answer<T>(request: Request, door: Door | (() => Deed), work: (actor: never) => T | Promise<T>): Promise<Response> {
  return answerAs(request, door as Door, async (actor) => Response.json(await work(actor as never)));
}

/** The same for `work` that makes the answer itself: an event stream, one that sets a cookie. */
export async function answerAs(request: Request, door: Deed, work: (actor: Actor) => Response | Promise<Response>): Promise<Response>;
export async function answerAs(request: Request, door: Door, work: (actor: Actor | null) => Response | Promise<Response>): Promise<Response>;
export async function answerAs(request: Request, door: Door | (() => Deed), work: (actor: never) => Response | Promise<Response>): Promise<Response> {
  try {
    refuseElsewhere(request);
    return await work(passDoor(request, typeof door === "function" ? door() : door) as never);
  } catch (error) {
    const status = statusOf(error);
    if (status === 500) console.error(`${request.method} ${new URL(request.url).pathname} failed:`, error);
    return Response.json({ problem: problemOf(error) }, { status, headers: afterWait(error, status) });
  }
}

function afterWait(error: unknown, status: number): Record<string, string> {
  if (status === 429) return { "Retry-After": String((error as WaitError).retryAfterS) };
  return status === 503 ? { "Retry-After": String(RETRY_AFTER_S) } : {};
}

/**
 * upload.elsewhere for a request that another site's page may have caused: the server must be called by a name of its own (an address, localhost,
 * this machine's name), or a foreign name could be made to lead here; and what changes something must say that it comes from the same origin (Fetch
 * Metadata's Sec-Fetch-Site, or Origin where that is not sent).
 */
export function refuseElsewhere({ method, headers }: Request): void {
  const host = headers.get("host") ?? "";
  const site = headers.get("sec-fetch-site");
  const origin = headers.get("origin");
  const sameOrigin = origin === null ? site === "same-origin" : origin.replace(/^https?:\/\//, "") === host && (site ?? "same-origin") === "same-origin";
  if (isOwnName(host) && (method === "GET" || sameOrigin)) return;
  throw new InputError("upload.elsewhere", "a request from a page of this server", `one from ${origin ?? site ?? "elsewhere"} to ${host}`, {});
}

/** Whether a Host header names this server: an address, localhost, this machine or what it was told to listen on. */
export function isOwnName(host: string): boolean {
  const name = host.replace(/:\d+$/, "").toLowerCase();
  const isAddress = /^\d+(\.\d+){3}$/.test(name) || /^\[[0-9a-f:.]+\]$/.test(name);
  return isAddress || [process.env["ASLAID_HOST"]?.toLowerCase(), "localhost", hostname().toLowerCase()].includes(name);
}
