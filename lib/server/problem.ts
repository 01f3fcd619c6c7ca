/** How errors travel: as JSON to a page, and as HTTP. The one place that maps codes to status numbers. */
import { placeText, type InputCode, type InputError } from "../base/errors.ts";
import type { ImportProblem } from "../model/importState.ts";

/** Codes with a status of their own; every other bad input is 400. */
const STATUS: Readonly<Partial<Record<InputCode, number>>> = {
  "upload.elsewhere": 403, "upload.unknown": 404, "store.noRun": 404, "store.noFinding": 404, "upload.over": 409, "source.tooLarge": 413, "source.tooMany": 413, "upload.busy": 503, "source.diskFull": 507,
  "wire.tooLarge": 413, "wire.noToken": 401, "wire.scope": 403, "wire.host": 403, "wire.notFound": 404, "wire.noCommand": 404, "wire.method": 405, "wire.conflict": 409, "wire.over": 409, "wire.state": 409, "wire.busy": 503, "alert.badDeed": 409, "control.gateHolds": 409,
  "people.signIn": 401, "people.wrong": 401, "people.role": 403, "people.unknown": 404, "people.taken": 409, "people.lastAdministrator": 409, "people.link": 410, "people.wait": 429,
  "sign.ownRun": 403, "sign.notOver": 409, "sign.notWhole": 409, "sign.grown": 409, "drop.notExported": 409,
};

/** By name: pages and start-up code are separate bundles, each with a class of its own. */
function isInputError(error: unknown): error is InputError {
  return error instanceof Error && error.name === "InputError";
}

/** null for anything but an InputError. */
export function problemOf(error: unknown): ImportProblem | null {
  if (!isInputError(error)) return null;
  const { code, message, place } = error;
  return { code, message: message.slice(0, message.length - placeText(place).length), place };
}

/** HTTP status of an error; 500 for a bug. */
export function statusOf(error: unknown): number {
  return isInputError(error) ? STATUS[error.code] ?? 400 : 500;
}
