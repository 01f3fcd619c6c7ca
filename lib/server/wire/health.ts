/** Whether the server can take data. */
import type { LiveHub } from "../live/hub.ts";
import type { WireAnswer } from "./routes.ts";

/** With less room than this nothing is taken, bytes. */
const LEAST_FREE_BYTES = 64 * 1024 * 1024;

export async function healthOf(hub: LiveHub): Promise<WireAnswer> {
  const { freeBytes, problem } = await hub.canTake(LEAST_FREE_BYTES);
  if (problem !== null) return { status: 503, json: { status: "down", reason: problem } };
  return { status: 200, json: { status: "ok", liveRuns: hub.liveCount, freeBytes } };
}
