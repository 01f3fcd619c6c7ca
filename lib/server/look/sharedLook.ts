/** Looks at plans: in a thread of their own where the server runs, else here and now. Pages and start-up code are separate bundles, so what starts threads hangs on globalThis. */
import { lookAt, type LookAnswers, type LookCall } from "./planLook.ts";

type Looker = (call: LookCall, signal?: AbortSignal) => Promise<unknown>;

const KEY = Symbol.for("aslaid.look");
const holder = globalThis as { [KEY]?: Looker };

/** From now on this looks. */
export function shareLook(looker: Looker): void {
  holder[KEY] = looker;
}

/** InputError job.*, plan.*; source.stopped once the signal has come. */
export async function look<O extends LookCall["op"]>(call: LookCall & { readonly op: O }, signal?: AbortSignal): Promise<LookAnswers[O]> {
  return await (holder[KEY]?.(call, signal) ?? lookAt(call)) as LookAnswers[O];
}
