/** The training desk: a small server on loopback for the page and for POST /cause. It answers to its own name and its own page alone. */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { InputError } from "../base/errors.ts";
import { NotNow } from "./liveCauseDeeds.ts";
import { readCause, type CauseRequest } from "./liveCauses.ts";
import { DESK_CSS, DESK_JS, deskPage, type DeskState } from "./liveDeskPage.ts";

const HOST = "127.0.0.1";
const MOST_BODY_BYTES = 4096;
/** The referrer stays with the page: without it a browser calls the origin of its own form null. */
const HEADERS = {
  "content-security-policy": "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
  "x-content-type-options": "nosniff", "referrer-policy": "same-origin", "cache-control": "no-store", "cross-origin-resource-policy": "same-origin",
} as const;

/** What the desk asks of the cell. */
export interface DeskPorts {
  state(): DeskState;
  /** Carries a cause out and says so; NotNow where it cannot be. */
  cause(request: CauseRequest): string;
}
/** A desk that listens; `close` ends its connections. */
export interface Desk { readonly url: string; close(): Promise<void> }

interface Reply { readonly status: number; readonly type: string; readonly text: string }
const problem = (status: number, text: string): Reply => ({ status, type: "text/plain; charset=utf-8", text: `${text}\n` });

/** Opens the desk on loopback; port 0 takes any free one. Rejects where the port is taken. */
export async function openDesk(port: number, ports: DeskPorts): Promise<Desk> {
  let notice = "";
  const server = createServer((request, response) => {
    void answer(request, server, ports, { get: () => notice, set: (text) => { notice = text; } }).then((reply) => send(response, reply), () => send(response, problem(400, "The request could not be read.")));
  });
  await new Promise<void>((done, fail) => {
    server.once("error", fail);
    server.listen(port, HOST, done);
  });
  return {
    url: `http://${HOST}:${portOf(server)}`,
    close: () => new Promise((done) => {
      server.close(() => done());
      server.closeAllConnections();
    }),
  };
}

function portOf(server: Server): number {
  return (server.address() as AddressInfo).port;
}

function send(response: ServerResponse, { status, type, text }: Reply): void {
  response.writeHead(status, { ...HEADERS, "content-type": type, ...(status === 303 ? { location: "/" } : {}), ...(status === 413 ? { connection: "close" } : {}) });
  response.end(text);
}

async function answer(request: IncomingMessage, server: Server, ports: DeskPorts, notice: { get(): string; set(text: string): void }): Promise<Reply> {
  const names = [`${HOST}:${portOf(server)}`, `localhost:${portOf(server)}`], host = request.headers.host ?? "";
  if (!names.includes(host)) return problem(421, "This desk answers to its own address alone.");
  const path = request.url ?? "/";
  if (request.method === "GET") {
    switch (path) {
      case "/": return { status: 200, type: "text/html; charset=utf-8", text: deskPage(ports.state(), notice.get()) };
      case "/state": return { status: 200, type: "application/json", text: JSON.stringify(ports.state()) };
      case "/desk.css": return { status: 200, type: "text/css; charset=utf-8", text: DESK_CSS };
      case "/desk.js": return { status: 200, type: "text/javascript; charset=utf-8", text: DESK_JS };
      default: return problem(404, "There is nothing here.");
    }
  }
  if (request.method !== "POST" || path !== "/cause") return problem(request.method === "POST" ? 404 : 405, "POST /cause causes something; nothing else is taken.");
  return takeCause(request, `http://${host}`, ports, (text) => notice.set(text));
}

/** JSON from anywhere on this machine (a page elsewhere cannot send it unasked), or a form from the desk's own page. */
async function takeCause(request: IncomingMessage, own: string, ports: DeskPorts, note: (text: string) => void): Promise<Reply> {
  const { origin } = request.headers, type = (request.headers["content-type"] ?? "").split(";")[0]?.trim().toLowerCase();
  const isForm = type === "application/x-www-form-urlencoded", site = request.headers["sec-fetch-site"];
  if (!isForm && type !== "application/json") return problem(415, "A cause is JSON, or this page's own form.");
  if ((origin ?? (isForm ? "" : own)) !== own || (site !== undefined && site !== "same-origin" && site !== "none")) return problem(403, "A cause is taken from this desk's own page alone.");
  const text = await readBody(request);
  if (text === null) return problem(413, `A cause has at most ${MOST_BODY_BYTES} bytes.`);
  const { status, said } = carryOut(text, isForm, ports);
  if (!isForm) return { status, type: "application/json", text: JSON.stringify(status === 200 ? { said } : { reason: said }) };
  note(said);
  return { status: 303, type: "text/plain; charset=utf-8", text: "" };
}

function carryOut(text: string, isForm: boolean, ports: DeskPorts): { readonly status: number; readonly said: string } {
  try {
    return { status: 200, said: ports.cause(readCause(isForm ? formValues(text) : JSON.parse(text))) };
  } catch (error) {
    if (error instanceof NotNow) return { status: 409, said: `Not now: ${error.message}.` };
    if (error instanceof InputError || error instanceof SyntaxError) return { status: 400, said: error.message };
    throw error;
  }
}

/** A form's fields; numbers as numbers. */
function formValues(text: string): Record<string, unknown> {
  const values: Record<string, unknown> = {};
  for (const [key, value] of new URLSearchParams(text)) values[key] = key === "kind" ? value : key === "undo" ? value === "true" : Number(value);
  return values;
}

/** null: too long; what is left unread ends with the connection, once the answer is out. */
async function readBody(request: IncomingMessage): Promise<string | null> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const part of request.iterator({ destroyOnReturn: false }) as AsyncIterable<Buffer>) {
    bytes += part.length;
    if (bytes > MOST_BODY_BYTES) return null;
    parts.push(part);
  }
  return Buffer.concat(parts).toString("utf8");
}
