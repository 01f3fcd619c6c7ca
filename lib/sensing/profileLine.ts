import { InputError, type Place } from "../base/errors.ts";
import type { Pose } from "../model/job.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { unitPose } from "../model/pose.ts";
import { JsonFields, numberField, refuse, refuseLength, wholeField } from "./fields.ts";
import { JsonScan } from "./jsonScan.ts";
import { parseObject, type ProfileHeader } from "./profileHeader.ts";
import { FloatSlab } from "./slab.ts";

/** What the decoder of a profile stream has to know beside the stream. */
export interface ProfileContext {
  readonly header: ProfileHeader;
  /** Every profile must say its layer: a recording of several layers without progress. */
  readonly isLayerRequired: boolean;
  /** Called with each key that the contract does not know, as often as it comes. */
  readonly onUnknownKey: (key: string) => void;
}

const UTF8 = new TextDecoder();
const KEYS = ["seq", "tS", "pose", "zMm", "xMm", "layer"] as const;
type Key = (typeof KEYS)[number];
const KEY_BYTES = KEYS.map((key) => new TextEncoder().encode(key));

/**
 * Decodes lines of profiles.ndjson. A plain line is read byte by byte into the slab; whatever is not plain, or not right, is
 * read again with JSON.parse, which gives the same numbers or the error. `tS` stays on the device's clock.
 */
export class ProfileLineDecoder {
  /** Where the heights go; the owner resets it when the profiles decoded so far are done with. */
  readonly slab = new FloatSlab();
  private readonly scan = new JsonScan();
  private readonly pose = new Float64Array(7); // Float64Array[tx ty tz qx qy qz qw]
  private seq = 0;
  private tS = 0;
  private layer: number | null = null;
  private poseCount = 0;
  private zMm: Float32Array | null = null;
  private xMm: Float32Array | null = null;

  constructor(private readonly context: ProfileContext) {}

  /** The profile of the line bytes[start, end), without its line feed. */
  decode(bytes: Uint8Array, start: number, end: number, place: Place): ProfileMessage {
    this.slab.reserve((end - start) >> 1);
    const used = this.slab.used;
    const message = this.scanLine(bytes, start, end) ? this.scanned() : null;
    if (message !== null) return message;
    this.slab.used = used;
    return this.parsed(UTF8.decode(bytes.subarray(start, end)), place);
  }

  private scanLine(bytes: Uint8Array, start: number, end: number): boolean {
    this.seq = this.tS = Number.NaN;
    this.layer = this.zMm = this.xMm = null;
    this.poseCount = 0;
    const { scan } = this;
    const isWhole = scan.at(bytes, start).object((from, to) => this.takeKey(from, to));
    if (!isWhole) return false;
    scan.peek();
    return scan.pos === end;
  }

  private takeKey(from: number, to: number): boolean {
    const { scan } = this;
    switch (keyAt(scan.bytes, from, to)) {
      case "seq": return !Number.isNaN(this.seq = scan.number());
      case "tS": return !Number.isNaN(this.tS = scan.number());
      case "layer": return !Number.isNaN(this.layer = scan.number());
      case "pose": return this.takePose();
      case "zMm": return (this.zMm = this.takeFloats()) !== null;
      case "xMm": return (this.xMm = this.takeFloats()) !== null;
      case null:
        this.context.onUnknownKey(UTF8.decode(scan.bytes.subarray(from, to)));
        return scan.skip();
    }
  }

  private takePose(): boolean {
    this.poseCount = 0;
    return this.scan.list(() => !Number.isNaN(this.pose[this.poseCount++] = this.scan.number()));
  }

  private takeFloats(): Float32Array | null {
    const { slab } = this;
    const count = this.scan.floats(slab.data, slab.used);
    if (count < 0) return null;
    slab.used += count;
    return slab.data.subarray(slab.used - count, slab.used);
  }

  /** null: something is missing or wrong, the slow way says what. */
  private scanned(): ProfileMessage | null {
    const { seq, tS, layer, zMm, xMm, context } = this;
    if (!isCount(seq) || !Number.isFinite(tS) || zMm === null || this.poseCount !== 7) return null;
    if (layer === null ? context.isLayerRequired : !isCount(layer)) return null;
    if (zMm.length !== (xMm === null ? context.header.profiler.points : xMm.length)) return null;
    if (xMm !== null && lostPlace(xMm, zMm) >= 0) return null;
    const pose = unitPose(this.pose);
    return pose === null ? null : this.message(seq, tS, pose, zMm, xMm, layer);
  }

  private message(seq: number, tS: number, pose: Pose, zMm: Float32Array, xMm: Float32Array | null, layer: number | null): ProfileMessage {
    const { profiler, frame } = this.context.header;
    return { kind: "profile", device: profiler.id, frame, seq, tS, pose, zMm, xMm, layer };
  }

  private parsed(text: string, place: Place): ProfileMessage {
    const row = parseObject(text, place);
    for (const key of Object.keys(row)) if (!KEYS.some((known) => known === key)) this.context.onUnknownKey(key);
    const fields = new JsonFields(row, place);
    const seq = wholeField(fields, "seq", 0);
    const tS = numberField(fields, "tS");
    const pose = this.poseList(fields);
    const zMm = this.samples(fields, "zMm");
    const xMm = (row["xMm"] ?? null) === null ? null : this.samples(fields, "xMm");
    checkCount(zMm.length, xMm, this.context.header.profiler.points, place);
    if (xMm !== null) checkPlaces(xMm, zMm, place);
    const layer = (row["layer"] ?? null) === null ? null : wholeField(fields, "layer", 0);
    if (layer === null && this.context.isLayerRequired) refuseNoLayer(place);
    return this.message(seq, tS, pose, zMm, xMm, layer);
  }

  private poseList(fields: JsonFields): Pose {
    const sent = fields.value("pose");
    if (sent === undefined) refuse(fields, "pose", "sensing.missingColumn", "seven numbers");
    if (!Array.isArray(sent) || sent.length !== 7) return refuse(fields, "pose", "sensing.badValue", "seven numbers [tx, ty, tz, qx, qy, qz, qw]");
    const numbers = sent.map((value: unknown) => (typeof value === "number" && Number.isFinite(value) ? value : refuse(fields, "pose", "sensing.badNumber", "seven finite numbers")));
    return unitPose(numbers) ?? refuseLength(numbers.slice(3), { ...fields.place, key: "pose" });
  }

  private samples(fields: JsonFields, key: "zMm" | "xMm"): Float32Array {
    const sent = fields.value(key);
    if (sent === undefined) refuse(fields, key, "sensing.missingColumn", "a list of numbers and nulls");
    if (!Array.isArray(sent)) return refuse(fields, key, "sensing.badValue", "a list of numbers and nulls");
    const out = Float32Array.from(sent, (value: unknown) => (typeof value === "number" ? value : Number.NaN));
    const wrong = sent.findIndex((value: unknown, i) => value !== null && !Number.isFinite(out[i]));
    if (wrong >= 0) throw new InputError("sensing.badNumber", "a finite number or null", JSON.stringify(sent[wrong]), { ...fields.place, key: `${key}[${wrong}]` });
    return out;
  }
}

function keyAt(bytes: Uint8Array, from: number, to: number): Key | null {
  for (let k = 0; k < KEYS.length; k++) {
    const key = KEY_BYTES[k] as Uint8Array;
    if (key.length !== to - from) continue;
    let i = 0;
    while (i < key.length && bytes[from + i] === key[i]) i++;
    if (i === key.length) return KEYS[k] as Key;
  }
  return null;
}

function isCount(value: number): boolean {
  return Number.isSafeInteger(value) && value >= 0;
}

/** First sample with a height but no x of its own; −1: none. */
export function lostPlace(xMm: Float32Array, zMm: Float32Array): number {
  for (let i = 0; i < xMm.length; i++) if (Number.isNaN(xMm[i]) && !Number.isNaN(zMm[i])) return i;
  return -1;
}

/** sensing.badNumber for a sample that has a height but no x. */
export function checkPlaces(xMm: Float32Array, zMm: Float32Array, place: Place): void {
  const lost = lostPlace(xMm, zMm);
  if (lost >= 0) throw new InputError("sensing.badNumber", "an x for every sample that has a height", "no number", { ...place, key: `xMm[${lost}]` });
}

/** sensing.wrongCount where a profile has not the job's number of points (or, with `xMm`, as many heights as places). */
export function checkCount(count: number, xMm: Float32Array | null, points: number, place: Place): void {
  if (xMm === null && count !== points) throw new InputError("sensing.wrongCount", `${points} points, as the job says`, `${count}`, { ...place, key: "zMm" });
  if (xMm !== null && count !== xMm.length) throw new InputError("sensing.wrongCount", `as many heights as places (${xMm.length})`, `${count}`, { ...place, key: "zMm" });
}

/** sensing.layersUnknown at a profile without its layer. */
export function refuseNoLayer(place: Place): never {
  throw new InputError("sensing.layersUnknown", "the layer of each profile, as the plan has several layers and there is no progress", "none", { ...place, key: "layer" });
}
