/** Answers of the server, read for what the cell needs of them. */
import type { Answer } from "./liveWire.ts";

/** Status and the beginning of the text, on one line. */
export function answerWords({ status, text }: Answer): string {
  return `${status} ${text.replace(/\s+/g, " ").slice(0, 300)}`.trim();
}

/** `runId` of an answer to POST /runs; null where there is none. */
export function readRunId(text: string): string | null {
  const { runId } = parsed(text);
  return typeof runId === "string" && runId !== "" ? runId : null;
}

/** Reasons of what an ingest call rejected. */
export function readRejected(text: string): string[] {
  const { rejected } = parsed(text);
  if (!Array.isArray(rejected)) return [];
  return (rejected as unknown[]).map((one) => {
    const { reason } = (typeof one === "object" && one !== null ? one : {}) as { reason?: unknown };
    return typeof reason === "string" ? reason : "without a reason";
  });
}

/** {} for what is no JSON object. */
function parsed(text: string): Record<string, unknown> {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === "object" && value !== null ? value as Record<string, unknown> : {};
  } catch {
    return {};
  }
}
