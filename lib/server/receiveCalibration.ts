/** Pictures of a board that a page hands in: solved in a thread of their own, told, and not kept. */
import { InputError } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";
import type { CalibrationSheet } from "../model/calibration.ts";
import { look } from "./look/sharedLook.ts";

/** All pictures together, bytes: they are in memory while they are looked at. */
const MOST_BYTES = 400e6;
const MOST_FILES = 500;

const KEY = Symbol.for("aslaid.calibrating");
const holder = globalThis as { [KEY]?: boolean };

/** A form with `files` and, where they are known, pattern, columns, rows, pitchMm, camera. InputError upload.badRequest, source.tooLarge, source.tooMany, upload.busy, calibration.*. */
export async function receiveCalibration(request: Request): Promise<CalibrationSheet> {
  const length = Number(request.headers.get("content-length") ?? Number.NaN);
  if (!(length >= 0)) throw new InputError("upload.badRequest", "a request that says its length", "none", { key: "content-length" });
  if (length > MOST_BYTES) throw new InputError("source.tooLarge", `pictures of at most ${MOST_BYTES / 1e6} MB together`, `${Math.ceil(length / 1e6)} MB`, {});
  if (holder[KEY] === true) throw new InputError("upload.busy", "one calibration at a time", "another that is being solved", {});
  holder[KEY] = true;
  try {
    const form = await formOf(request), files = form.getAll("files").filter((each) => typeof each !== "string");
    if (files.length > MOST_FILES) throw new InputError("source.tooMany", `at most ${MOST_FILES} files`, String(files.length), {});
    const given = await Promise.all(files.map(async (file) => ({ name: file.name.split("/").at(-1) ?? file.name, bytes: new Uint8Array(await file.arrayBuffer()) })));
    const text = (key: string): string | null => { const value = form.get(key); return typeof value === "string" && value.trim() !== "" ? value.trim() : null; };
    const number = (key: string): number | string | null => { const said = text(key), value = said === null ? Number.NaN : parseDecimal(said); return value === value ? value : said; };
    return await look({ op: "calibrate", files: given, over: { pattern: text("pattern"), columns: number("columns"), rows: number("rows"), pitchMm: number("pitchMm"), camera: text("camera") } }, request.signal);
  } finally {
    holder[KEY] = false;
  }
}

async function formOf(request: Request): Promise<FormData> {
  try {
    return await request.formData();
  } catch (cause) {
    throw new InputError("upload.badRequest", "a form with files", cause instanceof Error ? cause.message : String(cause), {}, cause);
  }
}
