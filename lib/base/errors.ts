/**
 * Bad input is one class with a closed code. A bug stays a TypeError or RangeError.
 * Codes are `room.whatIsWrong`; tests assert the code, people read the message.
 */
export const INPUT_CODES = [
  "source.noFolder", "source.noFile", "source.pathLeaves", "source.nulByte", "source.notDirectoryTarget",
  "source.unreadable", "source.notZip", "source.zipDamaged", "source.zipEntry", "source.twice", "source.tooLarge", "source.tooMany", "source.diskFull", "source.changed", "source.reserved", "source.stopped", "job.notJson", "job.wrongContract", "job.badValue", "job.missing", "job.duplicateDevice",
  "plan.missingColumn", "plan.badNumber", "plan.badLine", "plan.notUnit", "plan.narrow", "plan.zeroLength", "plan.order", "plan.noStrand",
  "plan.noBead", "plan.badWord",
  "sensing.notJson", "sensing.notArrow", "sensing.missingColumn", "sensing.badNumber", "sensing.badValue", "sensing.wrongCount", "sensing.notUnit",
  "sensing.timeBack", "sensing.unknownStrand", "sensing.unknownDevice", "sensing.layersUnknown", "sensing.beyondStrand", "sensing.noStream",
  "upload.badRequest", "upload.elsewhere", "upload.unknown", "upload.over", "upload.incomplete", "upload.busy",
  "wire.badBody", "wire.tooLarge", "wire.noToken", "wire.scope", "wire.host", "wire.notFound", "wire.method", "wire.conflict", "wire.over", "wire.busy", "wire.noCommand", "wire.state",
  "calibration.notJson", "calibration.badValue", "calibration.badPose", "calibration.notEnough",
  "alert.badDeed", "control.gateHolds",
  "people.signIn", "people.role", "people.wrong", "people.wait", "people.badValue", "people.taken", "people.lastAdministrator", "people.unknown", "people.link",
  "log.badKey", "log.badValue", "log.noRecord",
  "sign.notOver", "sign.notWhole", "sign.ownRun", "sign.grown", "drop.notExported",
  "command.usage", "store.readOnly", "store.noRun", "store.noFinding", "store.damaged", "store.migration",
] as const;

export type InputCode = (typeof INPUT_CODES)[number];

/** Where in the input the fault lies; every field that is known is given. */
export interface Place {
  readonly file?: string;
  /** 1-based line of a text file. */
  readonly line?: number;
  /** 1-based message (record batch) of an Arrow stream. */
  readonly message?: number;
  /** 0-based row inside that message, or of a JSON array. */
  readonly row?: number;
  /** Key or column, dotted for nested keys. */
  readonly key?: string;
}

/** Bad input: worded "expected …, got … (at …)". */
export class InputError extends Error {
  override readonly name = "InputError";
  readonly code: InputCode;
  readonly place: Place;

  constructor(code: InputCode, expected: string, got: string, place: Place, cause?: unknown) {
    super(`expected ${expected}, got ${got}${placeText(place)}`, cause === undefined ? undefined : { cause });
    this.code = code;
    this.place = place;
  }
}

/** " (at plan.csv, line 7, key nx)"; "" where nothing is known. */
export function placeText(place: Place): string {
  const parts: string[] = [];
  if (place.file !== undefined) parts.push(place.file);
  if (place.line !== undefined) parts.push(`line ${place.line}`);
  if (place.message !== undefined) parts.push(`message ${place.message}`);
  if (place.row !== undefined) parts.push(`row ${place.row}`);
  if (place.key !== undefined) parts.push(`key ${place.key}`);
  return parts.length === 0 ? "" : ` (at ${parts.join(", ")})`;
}

/** Something odd that did not stop the work; it stands in the result and on stderr. */
export interface Warning {
  readonly code: string;
  readonly message: string;
  readonly file?: string;
  readonly line?: number;
}
