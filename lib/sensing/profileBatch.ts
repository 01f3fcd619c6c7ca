import { InputError, type Place } from "../base/errors.ts";
import type { Pose } from "../model/job.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { unitPose } from "../model/pose.ts";
import { BatchBuffers, float64Column, integerColumn, poseColumn, samplesColumn } from "./arrowColumns.ts";
import type { ProfileLayout } from "./arrowLayout.ts";
import type { ArrowBatch } from "./arrowMeta.ts";
import { refuseLength } from "./fields.ts";
import { checkCount, checkPlaces, refuseNoLayer, type ProfileContext } from "./profileLine.ts";

/** One record batch of profiles, decoded row by row on demand. */
export interface ProfileBatch {
  readonly rowCount: number;
  /** The profile of a row. Its heights lie in the batch's own bytes: valid as long as those are. `tS` stays on the device's clock. */
  profile(row: number): ProfileMessage;
}

/** Opens a record batch whose body is `body`; `place` names file and message. Throws InputError sensing.* with row and column. */
export function openProfileBatch(header: ArrowBatch, body: Uint8Array, layout: ProfileLayout, context: ProfileContext, place: Place): ProfileBatch {
  const batch = new BatchBuffers(header, body, place);
  const { profiler, frame } = context.header;
  const seq = integerColumn(batch, layout.seq);
  const tS = float64Column(batch, layout.tS);
  const pose = poseColumn(batch, layout.pose);
  const zMm = samplesColumn(batch, layout.zMm);
  const xMm = layout.xMm === null ? null : samplesColumn(batch, layout.xMm);
  const layer = layout.layer === null ? null : integerColumn(batch, layout.layer);
  return {
    rowCount: batch.rowCount,
    profile(row) {
      const at = { ...place, row };
      const heights = samplesAt(zMm(row), { ...at, key: "zMm" });
      const places = xMm === null ? null : xMm(row);
      checkCount(heights.length, places, profiler.points, at);
      if (places !== null) checkPlaces(samplesAt(places, { ...at, key: "xMm" }), heights, at);
      const layerOfRow = layer?.(row) ?? null;
      if (layerOfRow === null && context.isLayerRequired) refuseNoLayer(at);
      return {
        kind: "profile", device: profiler.id, frame,
        seq: countAt(seq(row), { ...at, key: "seq" }),
        tS: timeAt(tS(row), { ...at, key: "tS" }),
        pose: poseAt(pose, row, { ...at, key: "pose" }),
        zMm: heights, xMm: places,
        layer: layerOfRow === null ? null : countAt(layerOfRow, { ...at, key: "layer" }),
      };
    },
  };
}

function countAt(value: number | null, place: Place): number {
  if (value !== null && Number.isSafeInteger(value) && value >= 0) return value;
  throw new InputError("sensing.badValue", "a whole number from 0", value === null ? "null" : String(value), place);
}

function timeAt(value: number, place: Place): number {
  if (Number.isFinite(value)) return value;
  throw new InputError("sensing.badNumber", "a finite number", String(value), place);
}

function samplesAt(values: Float32Array | null, place: Place): Float32Array {
  if (values === null) throw new InputError("sensing.badValue", "a list of float32", "null", place);
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (value === Infinity || value === -Infinity) throw new InputError("sensing.badNumber", "a finite number or NaN", String(value), { ...place, key: `${place.key ?? ""}[${i}]` });
  }
  return values;
}

function poseAt(column: ReturnType<typeof poseColumn>, row: number, place: Place): Pose {
  const sent = column.values.subarray(7 * row, 7 * row + 7);
  if (column.isMissing(row) || !sent.every((value) => Number.isFinite(value))) throw new InputError("sensing.badNumber", "seven finite numbers", column.isMissing(row) ? "null" : [...sent].join(", "), place);
  return unitPose(sent) ?? refuseLength([...sent.subarray(3)], place);
}
