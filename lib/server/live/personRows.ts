/** Rows of a run's data that a person adds on its page, each with its entry of the log. Both stand at the newest reference time. */
import { InputError } from "../../base/errors.ts";
import type { PasteMark, TakenOff } from "../../model/liveSheet.ts";
import type { RowStreamName } from "../../sensing/wireRows.ts";
import type { LiveHub } from "./hub.ts";

interface PersonRow { readonly stream: RowStreamName; readonly row: object; readonly expected: string; readonly key: string }

async function keepRow(hub: LiveHub, runId: string, { stream, row, expected, key }: PersonRow, actor: string): Promise<void> {
  const { referenceS } = hub.open(runId), bytes = Buffer.from(JSON.stringify([{ tS: referenceS, ...row, who: actor }]));
  const { rejected: [rejected] } = await hub.take(runId, { kind: "rows", stream, bytes }, { actor, deviceOnly: null }, []);
  if (rejected !== undefined) throw new InputError("log.badValue", expected, rejected.reason, { key });
}

/** A person has taken a stretch off again. InputError wire.over, log.badValue. */
export async function keepTakenOff(hub: LiveHub, runId: string, stretch: TakenOff, actor: string): Promise<void> {
  await keepRow(hub, runId, { stream: "rework", row: stretch, expected: "a stretch of this run's plan", key: "fromMm" }, actor);
  hub.open(runId).watch.tookOff(stretch, actor);
}

/** A person has marked paste in a frame. InputError wire.over, log.badValue. */
export async function keepPasteMark(hub: LiveHub, runId: string, mark: PasteMark, actor: string): Promise<void> {
  await keepRow(hub, runId, { stream: "paste", row: mark, expected: "a rectangle of at least 3 × 3 px in a frame of this run", key: "file" }, actor);
  hub.open(runId).watch.markedPaste(mark, actor);
}
