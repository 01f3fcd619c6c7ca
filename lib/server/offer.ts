/** What the requests that bring a run in say. */
import { PassThrough, pipeline, Readable } from "node:stream";
import type { ReadableStream } from "node:stream/web";
import { InputError } from "../base/errors.ts";
import type { ImportOffer } from "../model/importState.ts";

function required(query: URLSearchParams, key: string): string {
  const value = query.get(key);
  if (value === null || value === "") throw new InputError("upload.badRequest", `a query with ${key}`, "none", { key });
  return value;
}

/** A whole number from 0 that JavaScript holds exactly. */
function count(query: URLSearchParams, key: string): number {
  const text = required(query, key);
  const value = Number(text);
  if (!/^\d+$/.test(text) || !Number.isSafeInteger(value)) throw new InputError("upload.badRequest", "a whole number from 0", JSON.stringify(text.slice(0, 40)), { key });
  return value;
}

/** InputError upload.badRequest. */
export function readOffer(query: URLSearchParams): ImportOffer {
  const kind = required(query, "kind");
  if (kind !== "folder" && kind !== "zip") throw new InputError("upload.badRequest", "folder or zip", JSON.stringify(kind.slice(0, 40)), { key: "kind" });
  return { kind, name: required(query, "name"), fileCount: count(query, "fileCount"), byteCount: count(query, "byteCount") };
}

/** InputError upload.badRequest. */
export function readPath(query: URLSearchParams): string {
  return required(query, "path");
}

/**
 * The request's body as it arrives; an empty file has none. It goes through a stream of our own: a request's body that waits for bytes does not end
 * by being destroyed, and one that breaks before anybody reads it would end the process.
 */
export function bodyOf(request: Request): Readable {
  if (request.body === null) return Readable.from([]);
  const body = new PassThrough();
  pipeline(Readable.fromWeb(request.body as ReadableStream<Uint8Array>), body, () => undefined); // an error reaches whoever reads `body`
  return body;
}
