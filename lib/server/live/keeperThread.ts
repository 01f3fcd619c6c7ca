/** The thread that keeps: every byte that comes over the wire goes to the disk here. */
import { parentPort, workerData } from "node:worker_threads";
import { Keeper } from "./keeper.ts";
import { plainError, type Answer, type Call, type KeeperCall } from "./threadMessages.ts";

const keeper = new Keeper((workerData as { dataFolder: string }).dataFolder);

function carryOut(call: KeeperCall): Promise<unknown> {
  switch (call.op) {
    case "take": return keeper.take(call.runId, call.body, call.deviceOnly);
    case "state": return keeper.state(call.runId);
    case "end": return keeper.end(call.runId);
    case "ready": return keeper.ready();
    case "close": return keeper.close();
  }
}

parentPort?.on("message", ({ id, call }: Call<KeeperCall>) => {
  void carryOut(call).then((value): Answer => ({ id, value }), (error: unknown): Answer => ({ id, error: plainError(error) })).then((answer) => parentPort?.postMessage(answer));
});
