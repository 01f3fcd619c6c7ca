/** Reading a call: who may make it, and its body, whole in memory and counted. */
import type { IncomingMessage } from "node:http";
import { z } from "zod";
import { InputError } from "../../base/errors.ts";
import { parseBody } from "../../sensing/wireRows.ts";

/** Bodies in memory at once, bytes; beyond it calls are asked to come later. */
const IN_FLIGHT_LIMIT_BYTES = 256 * 1024 * 1024;
let inFlightBytes = 0;

/** The media type, in lower case and without its parameters. */
export function mediaType(request: IncomingMessage): string {
  return (request.headers["content-type"] ?? "").split(";")[0]?.trim().toLowerCase() ?? "";
}

/**
 * A body of at most `limitBytes`, in a buffer of its own; handed to `work`, and counted as in memory until that is done. InputError
 * wire.tooLarge, wire.busy, wire.badBody (encoded, or it broke off).
 */
export async function withBody<T>(request: IncomingMessage, limitBytes: number, work: (body: Uint8Array<ArrayBuffer>) => Promise<T>): Promise<T> {
  const encoding = request.headers["content-encoding"] ?? "identity";
  if (encoding !== "identity") throw new InputError("wire.badBody", "a body as it is", `one encoded as ${encoding.slice(0, 40)}`, {});
  const announced = Number(request.headers["content-length"] ?? Number.NaN);
  if (announced > limitBytes) throw tooLarge(limitBytes, announced);
  let counted = 0;
  const count = (bytes: number): void => {
    if (inFlightBytes + bytes > IN_FLIGHT_LIMIT_BYTES) throw new InputError("wire.busy", "room for another body", "too many on their way at once", {});
    inFlightBytes += bytes;
    counted += bytes;
  };
  try {
    if (announced > 0) count(announced);
    const body = announced >= 0 ? await readKnown(request, announced) : await readChunked(request, limitBytes, count);
    return await work(body);
  } finally {
    inFlightBytes -= counted;
  }
}

function tooLarge(limitBytes: number, got: number | null): InputError {
  return new InputError("wire.tooLarge", `a body of at most ${limitBytes} bytes`, got === null ? "a larger one" : `${got} bytes`, {});
}

const brokeOff = (cause?: unknown): InputError => new InputError("wire.badBody", "a body as long as it was announced", "one that broke off", {}, cause);

async function readKnown(request: IncomingMessage, bytes: number): Promise<Uint8Array<ArrayBuffer>> {
  const body = new Uint8Array(bytes);
  let at = 0;
  try {
    for await (const chunk of request as AsyncIterable<Buffer>) {
      body.set(chunk, at);
      at += chunk.length;
    }
  } catch (error) {
    throw brokeOff(error);
  }
  if (at !== bytes) throw brokeOff();
  return body;
}

async function readChunked(request: IncomingMessage, limitBytes: number, count: (bytes: number) => void): Promise<Uint8Array<ArrayBuffer>> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  try {
    for await (const chunk of request as AsyncIterable<Buffer>) {
      bytes += chunk.length;
      if (bytes > limitBytes) throw tooLarge(limitBytes, null);
      count(chunk.length);
      chunks.push(chunk);
    }
  } catch (error) {
    throw error instanceof InputError ? error : brokeOff(error);
  }
  const body = new Uint8Array(bytes);
  let at = 0;
  for (const chunk of chunks) {
    body.set(chunk, at);
    at += chunk.length;
  }
  return body;
}

/** A JSON body that fits the schema. InputError sensing.notJson, wire.badBody with the key. */
export function parseJson<S extends z.ZodType>(body: Uint8Array, schema: S): z.output<S> {
  const found = schema.safeParse(parseBody(body));
  if (found.success) return found.data;
  const [issue] = found.error.issues;
  throw new InputError("wire.badBody", "a body as the description of the API says", issue?.message ?? "another", { key: issue?.path.map(String).join(".") ?? "" });
}
