/** A thread that makes one result and ends: of what has been received so far, or of a run whose end was asked for. */
import { parentPort, workerData } from "node:worker_threads";
import { newId, nowIso, openOwnStore } from "../settings.ts";
import { resultSoFar, settleEnd } from "./settle.ts";
import { plainError, type Answer, type SettleCall } from "./threadMessages.ts";

async function carryOut(call: SettleCall): Promise<string> {
  if (call.op === "soFar") return resultSoFar(call, call.end);
  const store = openOwnStore({ sweeps: false });
  try {
    await settleEnd(store, { ...call, newId, nowIso });
  } finally {
    await store.close();
  }
  return "";
}

void carryOut(workerData as SettleCall).then((value): Answer => ({ id: 0, value }), (error: unknown): Answer => ({ id: 0, error: plainError(error) })).then((answer) => parentPort?.postMessage(answer));
