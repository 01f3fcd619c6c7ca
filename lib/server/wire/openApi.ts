/** The description of the wire (OpenAPI 3.1), made from the table of calls and the schemas that check their bodies. */
import { z } from "zod";
import { BODY_LIMIT_BYTES } from "../../model/wire.ts";
import type { WireRoute } from "./routes.ts";

const PROBLEM = { type: "object", required: ["code", "reason"], properties: { code: { type: "string" }, reason: { type: "string" } } } as const;
const KEPT = {
  type: "object", required: ["accepted", "duplicates", "rejected"],
  properties: {
    accepted: { type: "integer", description: "on the disk now" }, duplicates: { type: "integer", description: "kept already: they changed nothing" },
    rejected: { type: "array", items: { type: "object", required: ["index", "reason"], properties: { index: { type: "integer" }, reason: { type: "string" } } } },
  },
} as const;

const json = (schema: unknown): object => ({ content: { "application/json": { schema } } });
const problem = (description: string): object => ({ description, ...json({ $ref: "#/components/schemas/Problem" }) });

function answersOf(route: WireRoute): object {
  const good = route.gives === "kept" ? { description: "What became of it; said only once what was accepted is on the disk", ...json({ $ref: "#/components/schemas/Kept" }) }
    : route.gives === "events" ? { description: "Events until the reader goes", content: { "text/event-stream": { schema: { type: "string" } } } }
    : { description: "Done", ...json({}) };
  return {
    [route.method === "POST" && (route.path === "/runs" || route.path.endsWith("/commands")) ? "201" : "200"]: good,
    ...(route.body === undefined ? {} : { "400": problem("The body cannot be read, with the reason"), "413": problem("The body is too large") }),
    ...(route.who === "open" ? {} : { "401": problem("No token that counts"), "403": problem("The token is for one device alone, or the server was called by a name that is not its own") }),
    ...(route.path.includes("{runId}") ? { "404": problem("No such run, or no such command") } : {}),
    ...(route.method === "POST" ? { "409": problem("The run is over, or the key belongs to another run"), "503": problem("Come again after Retry-After seconds") } : {}),
    ...(route.path === "/health" ? { "503": { description: "No data can be taken now, with the reason", ...json({}) } } : {}),
  };
}

function operationOf(route: WireRoute): object {
  const inPath = [...route.path.matchAll(/\{(\w+)\}/g)].map(([, name]) => ({ name, in: "path", required: true, schema: { type: "string" } }));
  const inQuery = Object.entries(route.query ?? {}).map(([name, description]) => ({ name, in: "query", required: false, description, schema: { type: "number" } }));
  const content = Object.entries(route.body ?? {}).map(([type, schema]) => [type, { schema: schema === null ? wordsFor(type) : z.toJSONSchema(schema, { io: "input" }) }] as const);
  return {
    summary: route.about, parameters: [...inPath, ...inQuery], ...(content.length === 0 ? {} : { requestBody: { required: true, content: Object.fromEntries(content) } }),
    responses: answersOf(route), ...(route.who === "open" ? { security: [] } : {}),
  };
}

function wordsFor(type: string): object {
  if (type === "application/json") return { type: "array", items: { type: "object" } };
  if (type === "multipart/form-data") return { type: "object", required: ["meta", "image"], properties: { meta: { type: "string", description: "JSON" }, image: { type: "string", format: "binary" } } };
  return { type: "string", format: "binary" };
}

export function openApi(routes: readonly WireRoute[]): object {
  const paths: Record<string, Record<string, object>> = {};
  for (const route of routes) (paths[route.path] ??= {})[route.method.toLowerCase()] = operationOf(route);
  return {
    openapi: "3.1.0",
    info: {
      title: "Aslaid: the live wire", version: "1",
      description: `A robot cell streams its print and polls for commands. Largest bodies, bytes: profiles ${BODY_LIMIT_BYTES.profiles}, frames ${BODY_LIMIT_BYTES.frame}, rows ${BODY_LIMIT_BYTES.rows}, a new run ${BODY_LIMIT_BYTES.json}. A pause is a request to the cell: it is no emergency stop.`,
    },
    servers: [{ url: "/api/v1" }], security: [{ token: [] }], paths,
    components: { securitySchemes: { token: { type: "http", scheme: "bearer" } }, schemas: { Problem: PROBLEM, Kept: KEPT } },
  };
}
