/** Every call of the wire: who may make it, what it takes and gives, and what it does. The description of the API is made from this table. */
import type { IncomingMessage, ServerResponse } from "node:http";
import type { z } from "zod";
import { InputError } from "../../base/errors.ts";
import { LIVE_EVENT_KINDS } from "../../model/liveEvent.ts";
import { BODY_LIMIT_BYTES, commandBody, newRunBody, receiptBody, type Kept } from "../../model/wire.ts";
import { ARROW_TYPE, NDJSON_TYPE } from "../../sensing/wireProfiles.ts";
import { ROW_STREAMS, type RowStreamName } from "../../sensing/wireRows.ts";
import type { KeepBody } from "../live/keptRun.ts";
import type { LiveHub, Sender } from "../live/hub.ts";
import { streamEvents } from "./events.ts";
import { healthOf } from "./health.ts";
import { openApi } from "./openApi.ts";
import { mediaType, parseJson, withBody } from "./request.ts";

export interface WireContext {
  readonly hub: LiveHub;
  readonly request: IncomingMessage;
  readonly response: ServerResponse;
  /** Parts of the path in braces, by name. */
  readonly params: Readonly<Record<string, string>>;
  readonly query: URLSearchParams;
  readonly sender: Sender;
}

/** What is answered as JSON; text is JSON already; null: the handler answered itself. */
export type WireAnswer = { readonly status: number; readonly json: unknown } | { readonly status: number; readonly text: string } | null;

export interface WireRoute {
  readonly method: "GET" | "POST";
  /** Below /api/v1. */
  readonly path: string;
  readonly about: string;
  /** open: no token; device: any that counts; run: one that is not bound to a single device. */
  readonly who: "open" | "device" | "run";
  /** Media types of the body with their schemas (null: described in words); without it the call has none. */
  readonly body?: Readonly<Record<string, z.ZodType | null>>;
  readonly query?: Readonly<Record<string, string>>;
  readonly gives: "kept" | "json" | "events";
  readonly handle: (context: WireContext) => Promise<WireAnswer>;
}

const idOf = (params: WireContext["params"]): string => params["runId"] ?? "";

/** Hands a body to the keeper's thread: its memory goes along. */
async function keep({ hub, params, sender }: WireContext, body: KeepBody, memory: readonly ArrayBuffer[]): Promise<WireAnswer> {
  const json: Kept = await hub.take(idOf(params), body, sender, memory);
  return { status: 200, json };
}

const FORMATS: Readonly<Record<string, "arrow" | "ndjson">> = { [ARROW_TYPE]: "arrow", [NDJSON_TYPE]: "ndjson" };

function takeProfiles(context: WireContext): Promise<WireAnswer> {
  const type = mediaType(context.request), format = FORMATS[type];
  if (format === undefined) throw new InputError("wire.badBody", `content of type ${ARROW_TYPE} or ${NDJSON_TYPE}`, type === "" ? "none said" : type.slice(0, 80), { key: "Content-Type" });
  return withBody(context.request, BODY_LIMIT_BYTES.profiles, (bytes) => keep(context, { kind: "profiles", format, bytes }, [bytes.buffer]));
}

function takeRows(stream: RowStreamName): (context: WireContext) => Promise<WireAnswer> {
  return (context) => withBody(context.request, BODY_LIMIT_BYTES.rows, (bytes) => keep(context, { kind: "rows", stream, bytes }, [bytes.buffer]));
}

function takeFrame(context: WireContext): Promise<WireAnswer> {
  return withBody(context.request, BODY_LIMIT_BYTES.frame, async (bytes) => {
    const type = context.request.headers["content-type"] ?? "";
    const form = await new Response(bytes, { headers: { "content-type": type } }).formData()
      .catch((cause: unknown): never => { throw new InputError("wire.badBody", "multipart/form-data with meta and image", "what cannot be read as that", {}, cause); });
    const [meta, image] = ["meta", "image"].map((key) => form.get(key));
    if (meta === null || meta === undefined || image === null || image === undefined || typeof image === "string") throw new InputError("wire.badBody", "the parts meta (JSON) and image (a file)", "others", {});
    const metaBytes = typeof meta === "string" ? new TextEncoder().encode(meta) : new Uint8Array(await meta.arrayBuffer());
    const imageBytes = new Uint8Array(await image.arrayBuffer());
    return keep(context, { kind: "frame", meta: metaBytes, image: imageBytes }, [imageBytes.buffer]);
  });
}

function whole(text: string | null, fallback: number, most: number): number {
  if (text === null || text === "") return fallback;
  const value = Number(text);
  if (!(value >= 0) || value > most) throw new InputError("wire.badBody", `a number from 0 to ${most}`, JSON.stringify(text.slice(0, 40)), {});
  return value;
}

async function commands({ hub, params, query, response }: WireContext): Promise<WireAnswer> {
  const after = whole(query.get("after"), 0, Number.MAX_SAFE_INTEGER), waitS = whole(query.get("waitS"), 0, 60);
  const gone = new AbortController();
  response.once("close", () => gone.abort());
  return { status: 200, json: await hub.commands(idOf(params), after, 1000 * waitS, gone.signal) };
}

const ROWS_ABOUT: Readonly<Record<RowStreamName, string>> = {
  progress: "Where the nozzle is: rows of progress.csv, keys in camelCase", poses: "Tracker and arm poses: rows of poses.csv, keys in camelCase",
  signals: "Scalar channels: rows of signals.csv, keys in camelCase", rework: "Stretches that a person took off again: rows of rework.csv, keys in camelCase",
  paste: "Rectangles of frames in which a person says that all is paste: rows of paste.csv, keys in camelCase",
};

export const WIRE_ROUTES: readonly WireRoute[] = [
  {
    method: "POST", path: "/runs", about: "Makes a run; the same Idempotency-Key with the same body is the same run", who: "run", body: { "application/json": newRunBody }, gives: "json",
    handle: ({ hub, request, sender }) => withBody(request, BODY_LIMIT_BYTES.json, async (bytes) => {
      const key = request.headers["idempotency-key"];
      if (key !== undefined && (typeof key !== "string" || key.length > 200)) throw new InputError("wire.badBody", "one Idempotency-Key of at most 200 characters", "another", { key: "Idempotency-Key" });
      return { status: 201, json: { runId: await hub.createRun(parseJson(bytes, newRunBody), key ?? null, sender.actor) } };
    }),
  },
  {
    method: "POST", path: "/runs/{runId}/profiles", about: "Height profiles: an Arrow IPC stream, or NDJSON with a header line", who: "device",
    body: { [ARROW_TYPE]: null, [NDJSON_TYPE]: null }, gives: "kept", handle: takeProfiles,
  },
  ...ROW_STREAMS.map((stream): WireRoute => ({
    method: "POST", path: `/runs/{runId}/${stream}`, about: ROWS_ABOUT[stream], who: stream === "poses" ? "device" : "run", body: { "application/json": null }, gives: "kept", handle: takeRows(stream),
  })),
  {
    method: "POST", path: "/runs/{runId}/frames", about: "A camera frame: meta (its row of frames.csv as JSON) and image (PNG or JPEG)", who: "device",
    body: { "multipart/form-data": null }, gives: "kept", handle: takeFrame,
  },
  {
    method: "POST", path: "/runs/{runId}/finish", about: "Ends the run; answered once its result is written. A second time it changes nothing", who: "run", gives: "json",
    handle: async ({ hub, params, request }) => {
      request.resume(); // it has no body that matters
      await hub.finish(idOf(params));
      return { status: 200, json: { runId: idOf(params) } };
    },
  },
  {
    method: "GET", path: "/runs/{runId}/events", about: `Server-sent events: ${LIVE_EVENT_KINDS.join(", ")}; resumed by Last-Event-ID`, who: "device", gives: "events",
    handle: async (context) => streamEvents(context, context.hub.open(idOf(context.params))),
  },
  {
    method: "GET", path: "/runs/{runId}/result", about: "The result as inspect gives it, of what has been received so far, or of the whole run once it is over", who: "device", gives: "json",
    handle: async ({ hub, params }) => ({ status: 200, text: await hub.result(idOf(params)) }),
  },
  {
    method: "GET", path: "/runs/{runId}/commands", about: "Commands after number `after`, as a list; waits up to waitS seconds for one", who: "run",
    query: { after: "the last number that the cell has seen, from 0", waitS: "seconds, up to 60" }, gives: "json", handle: commands,
  },
  {
    method: "POST", path: "/runs/{runId}/commands", about: "Asks the cell for something; answers the command's number", who: "run", body: { "application/json": commandBody }, gives: "json",
    handle: ({ hub, params, request, sender }) => withBody(request, BODY_LIMIT_BYTES.json, async (bytes) => ({ status: 201, json: { n: hub.ask(idOf(params), parseJson(bytes, commandBody), sender.actor) } })),
  },
  {
    method: "POST", path: "/runs/{runId}/commands/{n}/receipt", about: "What the cell says of a command", who: "run", body: { "application/json": receiptBody }, gives: "json",
    handle: ({ hub, params, request, sender }) => withBody(request, BODY_LIMIT_BYTES.small, async (bytes) => {
      const n = whole(params["n"] ?? "", 0, Number.MAX_SAFE_INTEGER);
      hub.receive(idOf(params), n, parseJson(bytes, receiptBody), sender.actor);
      return { status: 200, json: { n } };
    }),
  },
  { method: "GET", path: "/health", about: "Whether data can be taken", who: "open", gives: "json", handle: async ({ hub }) => healthOf(hub) },
  { method: "GET", path: "/openapi.json", about: "This description", who: "open", gives: "json", handle: async () => ({ status: 200, json: openApi(WIRE_ROUTES) }) },
];
