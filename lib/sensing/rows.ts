/** Decoders of the row streams, the same for CSV lines and for JSON rows of the wire. Each throws InputError sensing.* with the row's place and key. */
import type { Device } from "../model/job.ts";
import type { FrameMessage, PasteMarkMessage, PoseMessage, ProgressEvent, ProgressMessage, ReworkMessage, SignalMessage } from "../model/messages.ts";
import { deviceOf, numberField, poseField, refuse, textField, type Fields } from "./fields.ts";
import { arcField, type StrandIndex } from "./strands.ts";

/** Keys of each row stream in the order of the contract. */
export const ROW_KEYS = {
  progress: ["tS", "layer", "strand", "sMm", "event"],
  rework: ["tS", "layer", "strand", "fromMm", "toMm", "who", "reason"],
  paste: ["tS", "device", "file", "u0Px", "v0Px", "u1Px", "v1Px", "who"],
  frames: ["file", "device", "tS", "tx", "ty", "tz", "qx", "qy", "qz", "qw", "frame"],
  poses: ["tS", "device", "tx", "ty", "tz", "qx", "qy", "qz", "qw", "from", "to", "valid"],
  signals: ["tS", "name", "value"],
} as const;

export const PROGRESS_EVENTS: readonly ProgressEvent[] = ["start", "update", "end"];

export function decodeProgress(fields: Fields, strands: StrandIndex): ProgressMessage {
  const tS = numberField(fields, "tS");
  const strand = strands.of(fields);
  const sMm = arcField(fields, "sMm", strand);
  const word = textField(fields, "event", "notBlank");
  const event = PROGRESS_EVENTS.find((known) => known === word) ?? refuse(fields, "event", "sensing.badValue", '"start", "update" or "end"');
  return { kind: "progress", tS, layer: strand.layer, strand: strand.strand, sMm, event };
}

export function decodeRework(fields: Fields, strands: StrandIndex): ReworkMessage {
  const tS = numberField(fields, "tS");
  const strand = strands.of(fields);
  const fromMm = arcField(fields, "fromMm", strand);
  const toMm = arcField(fields, "toMm", strand);
  if (toMm < fromMm) refuse(fields, "toMm", "sensing.badValue", `an end at or after ${fromMm} mm`);
  return {
    kind: "rework", tS, layer: strand.layer, strand: strand.strand, fromMm, toMm,
    who: textField(fields, "who", "mayBeBlank"), reason: textField(fields, "reason", "mayBeBlank"),
  };
}

/** A smaller rectangle holds too few pixels to learn from, px. */
const LEAST_MARK_PX = 3;

/** Whether the frame is there is for whoever keeps frames to say. */
export function decodePasteMark(fields: Fields, devices: readonly Device[]): PasteMarkMessage {
  const tS = numberField(fields, "tS"), device = textField(fields, "device", "notBlank");
  const { widthPx, heightPx } = deviceOf(devices, device, ["camera"], { ...fields.place, key: "device" });
  const inside = (key: string, sizePx: number): number => {
    const px = numberField(fields, key);
    return px >= -0.5 && px <= sizePx - 0.5 ? px : refuse(fields, key, "sensing.badValue", `a place in the picture, -0.5 to ${sizePx - 0.5} px`);
  };
  const u0 = inside("u0Px", widthPx), v0 = inside("v0Px", heightPx), u1 = inside("u1Px", widthPx), v1 = inside("v1Px", heightPx);
  if (!(u1 - u0 >= LEAST_MARK_PX)) refuse(fields, "u1Px", "sensing.badValue", `a right edge at least ${LEAST_MARK_PX} px from the left one at ${u0}`);
  if (!(v1 - v0 >= LEAST_MARK_PX)) refuse(fields, "v1Px", "sensing.badValue", `a lower edge at least ${LEAST_MARK_PX} px from the upper one at ${v0}`);
  return { kind: "pasteMark", tS, device, file: textField(fields, "file", "notBlank"), rectPx: [u0, v0, u1, v1], who: textField(fields, "who", "mayBeBlank") };
}

/** A tracker's or arm's pose on the device's own clock; `pose` null where `valid` is 0, whatever stands in the columns of the pose. */
export function decodePose(fields: Fields, devices: readonly Device[]): PoseMessage {
  const tS = numberField(fields, "tS");
  const device = textField(fields, "device", "notBlank");
  deviceOf(devices, device, ["tracker", "arm"], { ...fields.place, key: "device" });
  const from = textField(fields, "from", "notBlank");
  const to = textField(fields, "to", "notBlank");
  return { kind: "pose", tS, device, from, to, pose: isValid(fields) ? poseField(fields) : null };
}

function isValid(fields: Fields): boolean {
  const sent = fields.value("valid");
  if (sent === true || sent === false) return sent;
  const valid = numberField(fields, "valid");
  return valid === 0 || valid === 1 ? valid === 1 : refuse(fields, "valid", "sensing.badValue", "0 or 1");
}

export function decodeSignal(fields: Fields): SignalMessage {
  return { kind: "signal", tS: numberField(fields, "tS"), name: textField(fields, "name", "notBlank"), value: numberField(fields, "value") };
}

/** A camera frame on the camera's own clock; whether `file` may be opened is for the reader of the folder to say. */
export function decodeFrame(fields: Fields, devices: readonly Device[]): FrameMessage {
  const file = textField(fields, "file", "notBlank");
  const device = textField(fields, "device", "notBlank");
  deviceOf(devices, device, ["camera"], { ...fields.place, key: "device" });
  return { kind: "frame", tS: numberField(fields, "tS"), device, file, pose: poseField(fields), frame: textField(fields, "frame", "notBlank") };
}
