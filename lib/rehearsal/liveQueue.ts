/** One queue per kind of call: parcels go out one after the other, each as it is until it is answered. Nothing is dropped. */
import { isPassing, isTaken, waitMs, type Line } from "./liveLine.ts";
import type { Answer, WireRequest } from "./liveWire.ts";

/** A call without an answer is given up and sent again after this, ms. */
export const ANSWER_WITHIN_MS = 10_000;

/** A call with its body, sent again as it is. */
export interface Parcel extends WireRequest { readonly body: Uint8Array }

/** Whom a queue tells. */
export interface QueuePorts {
  readonly line: Line;
  /** What was answered to a parcel that was taken. */
  taken(parcel: Parcel, answer: Answer): void;
  /** The server will not have it; true: it is given up and the queue goes on. */
  refused(parcel: Parcel, answer: Answer): boolean;
}

/** First in, first out; `run` does the sending. */
export class SendQueue {
  private readonly ports: QueuePorts;
  private readonly parcels: Parcel[] = [];
  private bytes = 0;
  private wake: () => void = () => undefined;

  constructor(ports: QueuePorts) {
    this.ports = ports;
    ports.line.onClose(() => this.wake());
  }

  /** Bytes that wait, the parcel in flight included. */
  get waitingBytes(): number { return this.bytes; }
  get isEmpty(): boolean { return this.parcels.length === 0; }

  push(parcel: Parcel): void {
    this.parcels.push(parcel);
    this.bytes += parcel.body.length;
    this.wake();
  }

  /** Sends until the line is closed or a parcel is refused. */
  async run(): Promise<void> {
    const { line } = this.ports;
    while (!line.closed.aborted) {
      const parcel = this.parcels[0];
      if (parcel === undefined) await new Promise<void>((done) => { this.wake = done; });
      else if (await this.deliver(parcel)) this.shift();
      else return;
    }
  }

  private shift(): void {
    const gone = this.parcels.shift();
    this.bytes -= gone?.body.length ?? 0;
  }

  /** True once it is taken or given up; false: the queue ends. */
  private async deliver(parcel: Parcel): Promise<boolean> {
    const { ports } = this, { line } = ports;
    for (let tried = 0; !line.closed.aborted; tried++) {
      const answer = await line.ask(parcel, ANSWER_WITHIN_MS);
      if (answer !== null && isTaken(answer)) {
        ports.taken(parcel, answer);
        return true;
      }
      if (answer !== null && !isPassing(answer)) return ports.refused(parcel, answer);
      await line.clock.sleep(waitMs(answer, tried), line.closed);
    }
    return false;
  }
}
