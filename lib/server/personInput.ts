/** What forms of a run's page send, as JSON: checked for its shape here, for its meaning where it is written. */
import { z } from "zod";
import { InputError } from "../base/errors.ts";
import { DISPOSITIONS } from "../model/disposition.ts";
import type { DispositionInput, NoteInput } from "./dispositions.ts";

/** Far above the longest note; a longer body is none of ours, bytes. */
const MOST_BYTES = 64 * 1024;

/** What every form sends of a reason. */
export const PICKED = { reason: z.string(), note: z.string() };
const disposition = z.object({ resultId: z.string(), findingIndex: z.number().int().nonnegative(), disposition: z.enum(DISPOSITIONS), ...PICKED });
const note = z.object({ layer: z.number().int(), strand: z.number().int(), sMm: z.number(), text: z.string() });

/** A body as JSON of this shape, at most `mostBytes` long. InputError `upload.badRequest` with the key, `source.tooLarge`. */
export async function readJson<T>(request: Request, shape: z.ZodType<T>, mostBytes = MOST_BYTES): Promise<T> {
  const bytes: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of request.body ?? []) {
    size += chunk.length;
    if (size > mostBytes) throw new InputError("source.tooLarge", `a form of at most ${mostBytes} bytes`, "more", {});
    bytes.push(chunk);
  }
  const text = Buffer.concat(bytes).toString("utf8");
  const parsed = shape.safeParse(parseOrNull(text));
  if (parsed.success) return parsed.data;
  const [issue] = parsed.error.issues;
  throw new InputError("upload.badRequest", "a form of a run’s page as JSON", issue?.message ?? "something else", { key: issue?.path.join(".") ?? "" });
}

function parseOrNull(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** InputError `upload.badRequest`, `source.tooLarge`. */
export function readDisposition(request: Request): Promise<DispositionInput> {
  return readJson(request, disposition);
}

/** InputError `upload.badRequest`, `source.tooLarge`. */
export function readNote(request: Request): Promise<NoteInput> {
  return readJson(request, note);
}
