/** The thread of one look at a plan. */
import { parentPort, workerData } from "node:worker_threads";
import { plainError, type Answer } from "../live/threadMessages.ts";
import { lookAt, type LookCall } from "./planLook.ts";

async function answerOf(call: LookCall): Promise<Answer> {
  try {
    return { id: 0, value: await lookAt(call) };
  } catch (error) {
    return { id: 0, error: plainError(error) };
  }
}

parentPort?.postMessage(await answerOf(workerData as LookCall));
