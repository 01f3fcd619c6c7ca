import type { Message } from "../model/messages.ts";

/** Messages of one stream of a folder, in its own order, a batch at a time. Stamps are reference time. */
export interface Cursor {
  /** The next messages, at least one; null at the end. */
  refill(): Promise<readonly Message[] | null>;
  /** `refill` writes over what the messages before point to (heights): they must have been handed on and done with. */
  readonly isReusing: boolean;
  close(): Promise<void>;
}
