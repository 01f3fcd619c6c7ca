/** What goes out, as bodies of calls: profiles a stream per profiler, rows a JSON array per kind. */
import type { ProfileMessage } from "../model/messages.ts";
import { openArrowStream } from "../sensing/arrowWrite.ts";
import type { Outgoing } from "./liveCell.ts";
import type { Parcel } from "./liveQueue.ts";
import { withLayerColumn } from "./profiler.ts";
import type { RehearsalSettings } from "./settings.ts";
import { openNdjsonStream, type ProfileFormat } from "./write.ts";

/** Kinds of call that have a queue each. */
export const CALL_KINDS = ["profiles", "progress", "signals", "rework", "frames", "receipts"] as const;
/** One of them. */
export type CallKind = (typeof CALL_KINDS)[number];

const CONTENT_TYPE: Readonly<Record<ProfileFormat, string>> = { arrow: "application/vnd.apache.arrow.stream", ndjson: "application/x-ndjson" };
const ROW_KINDS = { progress: "progress", signal: "signals", rework: "rework" } as const;

/** The calls that carry these messages; messages of one kind keep their order. What is said goes into none, and a frame is packed once it is developed (`liveFrames.ts`). */
export function packParcels(messages: readonly Outgoing[], runPath: string, settings: RehearsalSettings, format: ProfileFormat): { readonly kind: CallKind; readonly parcel: Parcel }[] {
  const profiles = new Map<string, ProfileMessage[]>(), rows = new Map<CallKind, object[]>();
  const packed: { kind: CallKind; parcel: Parcel }[] = [];
  for (const message of messages) {
    if (message.kind === "said" || message.kind === "shot") continue;
    if (message.kind === "profile") profiles.set(message.device, [...(profiles.get(message.device) ?? []), message]);
    else if (message.kind === "receipt") {
      const { n, outcome, tS, note } = message;
      packed.push({ kind: "receipts", parcel: jsonParcel(`${runPath}/commands/${n}/receipt`, { outcome, tS: rounded(tS), note }) });
    } else {
      const { kind, ...row } = message, call = ROW_KINDS[kind];
      rows.set(call, [...(rows.get(call) ?? []), roundedRow(row)]);
    }
  }
  for (const [device, list] of profiles) packed.push({ kind: "profiles", parcel: { method: "POST", path: `${runPath}/profiles`, contentType: CONTENT_TYPE[format], body: streamOf(device, list, settings, format) } });
  for (const [kind, list] of rows) packed.push({ kind, parcel: jsonParcel(`${runPath}/${kind}`, list) });
  return packed;
}

/** A POST with a JSON body. */
export function jsonParcel(path: string, value: unknown): Parcel {
  return { method: "POST", path, contentType: "application/json", body: new TextEncoder().encode(JSON.stringify(value)) };
}

/** A whole stream, end marker included. */
function streamOf(device: string, profiles: readonly ProfileMessage[], settings: RehearsalSettings, format: ProfileFormat): Uint8Array {
  const shape = { device, frame: "plan", points: settings.points, withLayer: withLayerColumn(settings), batchProfiles: [profiles.length] };
  const stream = format === "arrow" ? openArrowStream(shape) : openNdjsonStream(device, "plan");
  const parts = profiles.map((profile) => stream.add(profile)).filter((part) => part !== null);
  return Buffer.concat([...parts, stream.end()]);
}

function roundedRow(row: object): object {
  return Object.fromEntries(Object.entries(row).map(([key, value]) => [key, typeof value === "number" ? rounded(value) : value]));
}
/** To a nanometre or a microsecond. */
function rounded(x: number): number {
  return Math.round(x * 1e6) / 1e6;
}
