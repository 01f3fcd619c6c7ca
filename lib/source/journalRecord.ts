/**
 * Records of a live run's journal: [payload bytes u32][CRC-32 of the payload u32][payload, padded to 8]. A payload is a JSON head
 * ([bytes u32][text, padded to 8]) and, for profiles, their numbers in columns. Little-endian throughout.
 */
import { crc32 } from "node:zlib";
import type { Pose } from "../model/job.ts";
import type { FrameMessage, PasteMarkMessage, PoseMessage, ProfileMessage, ProgressMessage, ReworkMessage, SignalMessage } from "../model/messages.ts";

export const PREFIX_BYTES = 8;
const ALIGN = 8;
const aligned = (bytes: number): number => Math.ceil(bytes / ALIGN) * ALIGN;

export type RowMessage = ProgressMessage | ReworkMessage | PasteMarkMessage | PoseMessage | SignalMessage | FrameMessage;

interface ProfilesHead { readonly kind: "profiles"; readonly device: string; readonly frame: string; readonly count: number; readonly withX: boolean }
interface RowsHead { readonly kind: "rows"; readonly rows: readonly RowMessage[] }

/** What a record holds; a profile's arrays lie in the record's own bytes. */
export type JournalRecord = { readonly kind: "profiles"; readonly profiles: readonly ProfileMessage[] } | { readonly kind: "rows"; readonly rows: readonly RowMessage[] };

const encoder = new TextEncoder(), decoder = new TextDecoder();

function frame(head: ProfilesHead | RowsHead, bodyBytes: number): { bytes: Uint8Array; bodyAt: number } {
  const text = encoder.encode(JSON.stringify(head)), bodyAt = PREFIX_BYTES + aligned(4 + text.length);
  const bytes = new Uint8Array(bodyAt + aligned(bodyBytes));
  new DataView(bytes.buffer).setUint32(PREFIX_BYTES, text.length, true);
  bytes.set(text, PREFIX_BYTES + 4);
  return { bytes, bodyAt };
}

function sealed(bytes: Uint8Array): Uint8Array {
  const view = new DataView(bytes.buffer), payload = bytes.subarray(PREFIX_BYTES);
  view.setUint32(0, payload.length, true);
  view.setUint32(4, crc32(payload), true);
  return bytes;
}

/** A record of rows, whatever streams they belong to. */
export function encodeRows(rows: readonly RowMessage[]): Uint8Array {
  return sealed(frame({ kind: "rows", rows }, 0).bytes);
}

/** Numbers of one profile before its samples: seq, tS, pose (7), layer (−1: not sent), samples. */
const NUMBERS = 11;

/** A record of profiles of one device and frame; all of them with places of their own (`xMm`) or none. */
export function encodeProfiles(profiles: readonly ProfileMessage[]): Uint8Array {
  const [first] = profiles;
  if (first === undefined) throw new RangeError("a record of no profiles");
  const withX = first.xMm !== null, count = profiles.length;
  const samples = profiles.reduce((sum, profile) => sum + profile.zMm.length, 0);
  const { bytes, bodyAt } = frame({ kind: "profiles", device: first.device, frame: first.frame, count, withX }, 8 * NUMBERS * count + 4 * samples * (withX ? 2 : 1));
  const numbers = new Float64Array(bytes.buffer, bodyAt, NUMBERS * count);
  const floats = new Float32Array(bytes.buffer, bodyAt + 8 * NUMBERS * count, samples * (withX ? 2 : 1));
  let at = 0;
  profiles.forEach((profile, i) => {
    const { seq, tS, pose, layer, zMm, xMm } = profile;
    numbers.set([seq, tS, ...pose, layer ?? -1, zMm.length], NUMBERS * i);
    floats.set(zMm, at);
    if (xMm !== null) floats.set(xMm, samples + at);
    at += zMm.length;
  });
  return sealed(bytes);
}

/** Payload bytes that a prefix announces, and their checksum. */
export function readPrefix(prefix: Uint8Array): { readonly payloadBytes: number; readonly crc: number } {
  const view = new DataView(prefix.buffer, prefix.byteOffset, PREFIX_BYTES);
  return { payloadBytes: view.getUint32(0, true), crc: view.getUint32(4, true) };
}

/** Whether the payload is the one that its prefix was written for. */
export function isWhole(payload: Uint8Array, crc: number): boolean {
  return crc32(payload) === crc;
}

/** Decodes a payload that is whole and begins at a multiple of 8 in its buffer. */
export function decodePayload(payload: Uint8Array): JournalRecord {
  const view = new DataView(payload.buffer, payload.byteOffset, payload.byteLength), textBytes = view.getUint32(0, true);
  const head = JSON.parse(decoder.decode(payload.subarray(4, 4 + textBytes))) as ProfilesHead | RowsHead;
  return head.kind === "rows" ? head : { kind: "profiles", profiles: profilesOf(head, payload, aligned(4 + textBytes)) };
}

function profilesOf({ device, frame: into, count, withX }: ProfilesHead, payload: Uint8Array, bodyAt: number): ProfileMessage[] {
  const numbers = new Float64Array(payload.buffer, payload.byteOffset + bodyAt, NUMBERS * count);
  const n = (i: number, k: number): number => numbers[NUMBERS * i + k] as number;
  let samples = 0, at = 0;
  for (let i = 0; i < count; i++) samples += n(i, 10);
  const floats = new Float32Array(payload.buffer, payload.byteOffset + bodyAt + 8 * NUMBERS * count, samples * (withX ? 2 : 1));
  return Array.from({ length: count }, (_, i): ProfileMessage => {
    const from = at, layer = n(i, 9);
    at += n(i, 10);
    return {
      kind: "profile", device, frame: into, seq: n(i, 0), tS: n(i, 1), pose: [2, 3, 4, 5, 6, 7, 8].map((k) => n(i, k)) as unknown as Pose,
      zMm: floats.subarray(from, at), xMm: withX ? floats.subarray(samples + from, samples + at) : null, layer: layer < 0 ? null : layer,
    };
  });
}
