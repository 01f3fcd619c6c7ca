/** Calls of the wire that the bench makes. */
import { openArrowStream } from "../sensing/arrowWrite.ts";
import type { ProfileMessage } from "../model/messages.ts";

/** A running server and a token for it. */
export interface Wire { readonly url: string; readonly token: string; readonly pid: number; readonly folder: string }

/** Throws where the answer is not good. */
export async function post(wire: Wire, path: string, type: string, body: Uint8Array<ArrayBuffer> | string): Promise<unknown> {
  const response = await fetch(`${wire.url}/api/v1${path}`, { method: "POST", headers: { Authorization: `Bearer ${wire.token}`, "Content-Type": type }, body });
  if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
  return response.json();
}

export const postJson = (wire: Wire, path: string, value: unknown): Promise<unknown> => post(wire, path, "application/json", JSON.stringify(value));

export async function makeRun(wire: Wire, { jobJson, planCsv }: { readonly jobJson: object; readonly planCsv: string }): Promise<string> {
  return ((await postJson(wire, "/runs", { job: jobJson, planText: planCsv, planFormat: "csv" })) as { runId: string }).runId;
}

/** One body of Arrow. */
export function bodyOf(profiles: readonly ProfileMessage[], points: number): Uint8Array<ArrayBuffer> {
  const stream = openArrowStream({ device: "profiler-1", frame: "plan", points, withLayer: false, batchProfiles: [profiles.length + 1] });
  for (const profile of profiles) stream.add(profile);
  return new Uint8Array(stream.end());
}

/** Takes what is stamped up to `untilS` off the front of a list. */
export function takeUntil<T extends { readonly tS: number }>(list: T[], untilS: number): T[] {
  const later = list.findIndex(({ tS }) => tS > untilS);
  return list.splice(0, later < 0 ? list.length : later);
}
