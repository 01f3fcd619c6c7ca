/** Profiles as one body of the wire: an Arrow IPC stream or NDJSON, whole in memory. */
import { InputError, type Place } from "../base/errors.ts";
import type { Device } from "../model/job.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { checkBodyBytes, metadataLength, PREFIX_BYTES } from "./arrowFrame.ts";
import { layoutOf, type ProfileLayout } from "./arrowLayout.ts";
import { decodeMessage } from "./arrowMeta.ts";
import { openProfileBatch } from "./profileBatch.ts";
import { checkProfileHeader, decodeProfileHeader, type ProfileHeader } from "./profileHeader.ts";
import { ProfileLineDecoder } from "./profileLine.ts";
import { WireItems, type WireItem } from "./wireRows.ts";

export const ARROW_TYPE = "application/vnd.apache.arrow.stream";
export const NDJSON_TYPE = "application/x-ndjson";

export interface WireProfiles {
  readonly header: ProfileHeader;
  /** In the order of the body; heights lie in the body or in arrays of their own. */
  readonly items: readonly WireItem<ProfileMessage>[];
}

/** Throws InputError sensing.* where the body as a whole cannot be read; what is wrong with one profile stands in its item. */
export function decodeWireProfiles(body: Uint8Array, format: "arrow" | "ndjson", devices: readonly Device[]): WireProfiles {
  return format === "arrow" ? decodeArrow(body, devices) : decodeNdjson(body, devices);
}

/** An item from what gives a message or refuses it. */
function itemOf(index: number, decode: () => ProfileMessage): WireItem<ProfileMessage> {
  try {
    return { index, message: decode(), reason: null };
  } catch (error) {
    if (!(error instanceof InputError) || error.code === "sensing.notJson") throw error;
    return { index, message: null, reason: `${error.code}: ${error.message}` };
  }
}

const UTF8 = new TextDecoder();
const FEED = 10;

function decodeNdjson(body: Uint8Array, devices: readonly Device[]): WireProfiles {
  const items = new WireItems<ProfileMessage>();
  let header: ProfileHeader | null = null, decoder: ProfileLineDecoder | null = null, line = 1;
  for (let start = 0; ;) {
    for (; start < body.length && isBlank(body[start] as number); start++) if (body[start] === FEED) line++;
    if (start === body.length) break;
    const feed = body.indexOf(FEED, start), end = feed < 0 ? body.length : feed;
    const at = { line } satisfies Place, from = start;
    start = end;
    if (header === null || decoder === null) {
      header = decodeProfileHeader(UTF8.decode(body.subarray(from, end)), devices, at);
      decoder = new ProfileLineDecoder({ header, isLayerRequired: false, onUnknownKey: () => undefined });
      continue;
    }
    const read = decoder;
    items.add(itemOf(items.count, () => read.decode(body, from, end, at)));
  }
  if (header === null) throw new InputError("sensing.notJson", "a header line {device, frame}", "an empty body", {});
  return { header, items: items.list };
}

function isBlank(byte: number): boolean {
  return byte === FEED || byte === 0x20 || byte === 0x09 || byte === 0x0d;
}

function decodeArrow(body: Uint8Array, devices: readonly Device[]): WireProfiles {
  const items = new WireItems<ProfileMessage>();
  let header: ProfileHeader | null = null, layout: ProfileLayout | null = null, batchCount = 0;
  for (let position = 0; ;) {
    const place = { message: batchCount + 1 };
    const ahead = (bytes: number): void => {
      if (position + bytes > body.length) throw new InputError("sensing.notArrow", "a stream with its end-of-stream marker", `one that breaks off after ${body.length} bytes`, place);
    };
    ahead(PREFIX_BYTES);
    const metadataBytes = metadataLength(body.subarray(position, position + PREFIX_BYTES), place);
    if (metadataBytes === 0) break;
    ahead(PREFIX_BYTES + metadataBytes);
    const message = decodeMessage(body.subarray(position + PREFIX_BYTES, position + PREFIX_BYTES + metadataBytes), place);
    checkBodyBytes(message.bodyBytes, place);
    const bodyAt = position + PREFIX_BYTES + metadataBytes;
    ahead(PREFIX_BYTES + metadataBytes + message.bodyBytes);
    position = bodyAt + message.bodyBytes;
    if (message.kind === "schema") {
      if (layout !== null) throw new InputError("sensing.notArrow", "one schema", "another one", place);
      header = checkProfileHeader(message.schema.metadata, devices, {});
      layout = layoutOf(message.schema, {});
    } else if (message.kind === "batch") {
      if (layout === null || header === null) throw new InputError("sensing.notArrow", "a schema before the first record batch", "a record batch", place);
      batchCount++;
      const batch = openProfileBatch(message.batch, body.subarray(bodyAt, position), layout, { header, isLayerRequired: false, onUnknownKey: () => undefined }, place);
      for (let row = 0; row < batch.rowCount; row++) items.add(itemOf(items.count, () => batch.profile(row)));
    }
  }
  if (header === null) throw new InputError("sensing.notArrow", "a schema", "an empty stream", {});
  return { header, items: items.list };
}
