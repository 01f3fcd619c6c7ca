/** Profiles as an Arrow IPC stream: columns seq, tS, pose, zMm and (where they carry it) layer; schema metadata device and frame. */
import { Field, FixedSizeList, Float32, Float64, Int32, makeData, RecordBatch, RecordBatchStreamWriter, Schema, Struct } from "apache-arrow";
import type { ProfileMessage } from "../model/messages.ts";

/** What a stream says of itself, and how it is cut. */
export interface StreamShape {
  readonly device: string;
  readonly frame: string;
  /** Samples of each profile. */
  readonly points: number;
  readonly withLayer: boolean;
  /** Profiles of its record batches, used in turn over and over; at least one, each from 1. */
  readonly batchProfiles: readonly number[];
}

/** Turns one profiler's profiles into the bytes of a stream, piece by piece. */
export interface ProfileStream {
  /** Copies a profile in; gives the bytes of a batch whenever one is full, else null. */
  add(profile: ProfileMessage): Uint8Array | null;
  /** What is left, with the end-of-stream marker. */
  end(): Uint8Array;
}

/** Marker that closes a stream: continuation, then length 0 (Arrow columnar format, "IPC Streaming Format"). */
const END_BYTES = 8;

/**
 * An Arrow stream of profiles. Memory holds one batch: each batch is written as a stream of its own, and its schema
 * (all but once) and end marker are cut off, since a stream is its schema message, its batches and the marker in a row.
 */
export function openArrowStream({ device, frame, points, withLayer, batchProfiles }: StreamShape): ProfileStream {
  const most = Math.max(...batchProfiles);
  const poseType = new FixedSizeList(7, new Field("item", new Float64(), false)), zType = new FixedSizeList(points, new Field("item", new Float32(), false));
  const fields: Field[] = [new Field("seq", new Int32(), false), new Field("tS", new Float64(), false), new Field("pose", poseType, false), new Field("zMm", zType, false)];
  if (withLayer) fields.push(new Field("layer", new Int32(), false));
  const schema = new Schema(fields, new Map([["device", device], ["frame", frame]]));
  const seq = new Int32Array(most), tS = new Float64Array(most), layer = new Int32Array(most);
  const pose = new Float64Array(7 * most), zMm = new Float32Array(points * most);
  let held = 0, batchCount = 0;

  /** The held profiles as a whole stream of their own. */
  function batchBytes(): Uint8Array {
    const length = held, nullCount = 0;
    const children = [
      makeData({ type: new Int32(), length, nullCount, data: seq.slice(0, length) }),
      makeData({ type: new Float64(), length, nullCount, data: tS.slice(0, length) }),
      makeData({ type: poseType, length, nullCount, child: makeData({ type: new Float64(), length: 7 * length, nullCount, data: pose.slice(0, 7 * length) }) }),
      makeData({ type: zType, length, nullCount, child: makeData({ type: new Float32(), length: points * length, nullCount, data: zMm.slice(0, points * length) }) }),
      ...(withLayer ? [makeData({ type: new Int32(), length, nullCount, data: layer.slice(0, length) })] : []),
    ];
    const batch = new RecordBatch(schema, makeData({ type: new Struct(fields), length, nullCount, children }));
    held = 0;
    return RecordBatchStreamWriter.writeAll([batch]).toUint8Array(true);
  }
  function takeBatch(withEnd: boolean): Uint8Array {
    const bytes = batchBytes();
    const schemaBytes = 8 + new DataView(bytes.buffer, bytes.byteOffset).getInt32(4, true); // continuation, length, message without body
    const from = batchCount++ > 0 ? schemaBytes : 0;
    return bytes.subarray(from, withEnd ? bytes.length : bytes.length - END_BYTES);
  }
  return {
    add(profile) {
      seq[held] = profile.seq;
      tS[held] = profile.tS;
      layer[held] = profile.layer ?? 0;
      pose.set(profile.pose, 7 * held);
      zMm.set(profile.zMm, points * held);
      held++;
      return held === batchProfiles[batchCount % batchProfiles.length] ? takeBatch(false) : null;
    },
    end: () => (held > 0 || batchCount === 0 ? takeBatch(true) : Uint8Array.of(255, 255, 255, 255, 0, 0, 0, 0)),
  };
}
