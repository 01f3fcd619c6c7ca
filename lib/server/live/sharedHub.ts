/** The hub of this process: pages and start-up code are separate bundles, so it hangs on globalThis. */
import type { LiveHub } from "./hub.ts";

const KEY = Symbol.for("aslaid.hub");
const holder = globalThis as { [KEY]?: LiveHub };

export function shareHub(hub: LiveHub): void {
  holder[KEY] = hub;
}

/** null: this process takes nothing over the wire (a build, a test of a page). */
export function sharedHub(): LiveHub | null {
  return holder[KEY] ?? null;
}
