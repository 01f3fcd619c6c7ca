import { InputError, type InputCode, type Place } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";
import { describe } from "../model/describe.ts";
import type { Device, Pose } from "../model/job.ts";
import { unitPose } from "../model/pose.ts";

/** One row of a stream, by the contract's camelCase keys, whatever carried it: a CSV line or a JSON object. */
export interface Fields {
  readonly place: Place;
  /** The field as it was sent: text from CSV, any JSON value from the wire; undefined where it is not there. */
  value(key: string): unknown;
  /** The key as the sender spells it (`s_mm` in CSV, `sMm` on the wire), for messages. */
  nameOf(key: string): string;
}

/** `sMm` → `s_mm`. */
export function snakeCase(key: string): string {
  return key.replace(/[A-Z]/g, (c) => `_${c.toLowerCase()}`);
}

/** Fields of a CSV line; `columns` holds the place of each snake_case column. The same object is moved on from line to line by its owner. */
export class CsvFields implements Fields {
  cells: readonly string[] = [];
  place: Place;
  private readonly index = new Map<string, number>();

  constructor(columns: ReadonlyMap<string, number>, keys: readonly string[], file: string) {
    this.place = { file };
    for (const key of keys) {
      const at = columns.get(snakeCase(key));
      if (at !== undefined) this.index.set(key, at);
    }
  }

  value(key: string): unknown {
    const at = this.index.get(key);
    return at === undefined ? undefined : this.cells[at];
  }

  nameOf(key: string): string { return snakeCase(key); }
}

/** Fields of a JSON row as it comes over the wire. */
export class JsonFields implements Fields {
  constructor(private readonly row: Readonly<Record<string, unknown>>, readonly place: Place) {}
  value(key: string): unknown { return Object.hasOwn(this.row, key) ? this.row[key] : undefined; }
  nameOf(key: string): string { return key; }
}

/** Throws an InputError at this row and key, with the value found. */
export function refuse(fields: Fields, key: string, code: InputCode, expected: string): never {
  throw new InputError(code, expected, describe(fields.value(key)), { ...fields.place, key: fields.nameOf(key) });
}

/** A finite number; sensing.missingColumn where the key is absent, sensing.badNumber where it is none. */
export function numberField(fields: Fields, key: string): number {
  const value = fields.value(key);
  if (value === undefined) refuse(fields, key, "sensing.missingColumn", "a finite number");
  const number = typeof value === "string" && fields instanceof CsvFields ? parseDecimal(value) : value;
  return typeof number === "number" && Number.isFinite(number) ? number : refuse(fields, key, "sensing.badNumber", "a finite number");
}

/** A whole number of at least `least`. */
export function wholeField(fields: Fields, key: string, least: number): number {
  const value = numberField(fields, key);
  return Number.isSafeInteger(value) && value >= least ? value : refuse(fields, key, "sensing.badValue", `a whole number from ${least}`);
}

/** A text without the blanks around it. `blank` says whether it may be empty. */
export function textField(fields: Fields, key: string, blank: "mayBeBlank" | "notBlank"): string {
  const value = fields.value(key);
  if (value === undefined) refuse(fields, key, "sensing.missingColumn", "a text");
  if (typeof value !== "string") return refuse(fields, key, "sensing.badValue", "a text");
  const text = value.trim();
  return text === "" && blank === "notBlank" ? refuse(fields, key, "sensing.badValue", "a text that is not blank") : text;
}

const POSE_KEYS = ["tx", "ty", "tz", "qx", "qy", "qz", "qw"] as const;

/** The pose of the columns tx … qw, its quaternion normalised; sensing.notUnit where it is off by more than 1e-3. */
export function poseField(fields: Fields): Pose {
  const pose = unitPose(POSE_KEYS.map((key) => numberField(fields, key)));
  return pose ?? refuseLength(POSE_KEYS.slice(3).map((key) => numberField(fields, key)), { ...fields.place, key: "qx" });
}

/** The InputError of a quaternion (x, y, z, w) that is not unit. */
export function refuseLength(quaternion: readonly number[], place: Place): never {
  const length = Number(Math.hypot(...quaternion).toPrecision(6));
  throw new InputError("sensing.notUnit", "a quaternion of unit length within 0.001", `length ${length}`, place);
}

/** The job's device of that id and of one of those kinds; sensing.unknownDevice otherwise. */
export function deviceOf<K extends Device["kind"]>(devices: readonly Device[], id: string, kinds: readonly K[], place: Place): Extract<Device, { kind: K }> {
  const device = devices.find((d) => d.id === id);
  const isKind = (d: Device): d is Extract<Device, { kind: K }> => kinds.some((kind) => kind === d.kind);
  if (device !== undefined && isKind(device)) return device;
  const got = device === undefined ? describe(id) : `${describe(id)}, which is of kind ${device.kind}`;
  const known = devices.filter(isKind).map((d) => d.id).join(", ") || "none";
  throw new InputError("sensing.unknownDevice", `a device of kind ${kinds.join(" or ")} in the job (it has ${known})`, got, place);
}
