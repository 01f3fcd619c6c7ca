/** Answers calls below /api/v1. Beside the pages, not through them: bodies come as node gives them, counted and unbuffered by anybody else. */
import type { IncomingMessage, ServerResponse } from "node:http";
import { InputError } from "../../base/errors.ts";
import type { LiveHub } from "../live/hub.ts";
import type { Store } from "../../store/openStore.ts";
import { diskProblem } from "../../source/stage.ts";
import { isOwnName } from "../answer.ts";
import { statusOf } from "../problem.ts";
import { tokenOf } from "../tokens.ts";
import { WIRE_HEADERS } from "./headers.ts";
import { WIRE_ROUTES, type WireAnswer, type WireRoute } from "./routes.ts";

export const WIRE_PREFIX = "/api/v1/";
/** Seconds after which a busy server may be asked again. */
const RETRY_AFTER_S = 1;
/** How long a refused sender may go on sending before it is cut off, ms: time to read the answer. */
const LINGER_MS = 5000;

interface Matcher { readonly route: WireRoute; readonly pattern: RegExp; readonly names: readonly string[] }

const MATCHERS: readonly Matcher[] = WIRE_ROUTES.map((route) => ({
  route, pattern: new RegExp(`^${route.path.replaceAll(".", "\\.").replaceAll(/\{\w+\}/g, "([^/]+)")}$`), names: [...route.path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name as string),
}));

function routeOf(method: string, path: string): { readonly route: WireRoute; readonly params: Record<string, string> } {
  const there = MATCHERS.filter(({ pattern }) => pattern.test(path));
  if (there.length === 0) throw new InputError("wire.notFound", "a call that GET /api/v1/openapi.json lists", JSON.stringify(path.slice(0, 120)), {});
  const matcher = there.find(({ route }) => route.method === method);
  if (matcher === undefined) throw new InputError("wire.method", there.map(({ route }) => route.method).join(" or "), method, {});
  const parts = matcher.pattern.exec(path)?.slice(1) ?? [];
  return { route: matcher.route, params: Object.fromEntries(matcher.names.map((name, i) => [name, decoded(parts[i] ?? "")])) };
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

async function answer(hub: LiveHub, store: Store, request: IncomingMessage, response: ServerResponse): Promise<WireAnswer> {
  if (!isOwnName(request.headers.host ?? "")) throw new InputError("wire.host", "a call by a name of this server", JSON.stringify((request.headers.host ?? "none").slice(0, 120)), { key: "Host" });
  const url = new URL(request.url ?? "/", "http://server"), { route, params } = routeOf(request.method ?? "GET", url.pathname.slice(WIRE_PREFIX.length - 1));
  const token = route.who === "open" ? null : tokenOf(store, request.headers.authorization, Date.now());
  if (token !== null && token.device !== null && route.who === "run") throw new InputError("wire.scope", "a token for all of a run's devices", `one for ${token.device} alone`, {});
  return route.handle({ hub, request, response, params, query: url.searchParams, sender: { actor: token?.name ?? "", deviceOnly: token?.device ?? null } });
}

function refuse(request: IncomingMessage, response: ServerResponse, error: unknown): void {
  const known = error instanceof InputError ? error : diskProblem(error);
  const status = known?.code === "source.diskFull" || known?.code === "store.readOnly" ? 503 : statusOf(known ?? error);
  if (known === null) console.error(`${request.method} ${request.url?.slice(0, 200)} failed:`, error);
  if (response.headersSent || response.destroyed) {
    response.destroy();
    return;
  }
  // a body that nobody reads would keep the connection waiting
  const more = request.complete ? {} : { Connection: "close" };
  response.writeHead(status, { ...WIRE_HEADERS, ...more, "Content-Type": "application/json; charset=utf-8", ...(status === 503 ? { "Retry-After": String(RETRY_AFTER_S) } : {}), ...(status === 401 ? { "WWW-Authenticate": "Bearer" } : {}) });
  response.end(JSON.stringify({ code: known?.code ?? "bug", reason: known?.message ?? "an error of the server: its own log says more" }));
  if (request.complete) return;
  request.resume();
  response.once("finish", () => setTimeout(() => request.destroy(), LINGER_MS).unref());
}

function say(response: ServerResponse, given: WireAnswer): void {
  if (given === null || response.destroyed) return;
  response.writeHead(given.status, { ...WIRE_HEADERS, "Content-Type": "application/json; charset=utf-8" });
  response.end("text" in given ? given.text : JSON.stringify(given.json));
}

/** A listener for node's server; it never throws. */
export function wireHandler(hub: LiveHub, store: Store): (request: IncomingMessage, response: ServerResponse) => void {
  return (request, response) => {
    answer(hub, store, request, response).then((given) => say(response, given)).catch((error: unknown) => refuse(request, response, error));
  };
}
