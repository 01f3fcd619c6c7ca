/** The long poll for commands, and the cell's watch over it. */
import { readCommands, type Command } from "./liveCommand.ts";
import { isPassing, waitMs, type Line } from "./liveLine.ts";
import type { Answer } from "./liveWire.ts";

/** Longest wait that is asked for, s. */
const MOST_WAIT_S = 10;
/** A poll that is answered at once with nothing is not asked again at once, ms. */
const LEAST_MS = 50;

/** What the poll is handed, and whom it tells. */
export interface PollPorts {
  readonly line: Line;
  readonly runPath: string;
  readonly silenceS: number;
  command(command: Command): void;
  refused(answer: Answer): void;
  say(text: string): void;
}

/** One poll after the other, for one run. */
export class CommandPoll {
  private readonly ports: PollPorts;
  private answeredMs: number;
  private after = 0;

  /** The watch begins now. */
  constructor(ports: PollPorts) {
    this.ports = ports;
    this.answeredMs = ports.line.clock.nowMs();
  }

  /** When the cell has to stop by itself, ms of the line's clock; each answer moves it on. */
  get silentAtMs(): number { return this.answeredMs + this.ports.silenceS * 1000; }

  /** Polls until the line is closed or the server refuses. The wait asked for is half of what the cell may go on without an answer, at most 10 s. */
  async run(): Promise<void> {
    const { line, runPath, silenceS } = this.ports, { clock } = line, waitS = Math.min(MOST_WAIT_S, silenceS / 2);
    for (let tried = 0; !line.closed.aborted;) {
      const askedMs = clock.nowMs();
      const answer = await line.ask({ method: "GET", path: `${runPath}/commands?after=${this.after}&waitS=${waitS}` }, (waitS + silenceS) * 1000);
      if (answer !== null && (answer.status === 200 || answer.status === 204)) {
        tried = 0;
        this.answeredMs = clock.nowMs();
        const isNew = answer.status === 200 && this.takeAll(answer.text);
        if (!isNew && clock.nowMs() - askedMs < LEAST_MS) await clock.sleep(LEAST_MS, line.closed);
      } else if (answer === null || isPassing(answer)) {
        await clock.sleep(waitMs(answer, tried++), line.closed);
      } else {
        this.ports.refused(answer);
        return;
      }
    }
  }

  private takeAll(text: string): boolean {
    const commands = readCommands(text);
    if (commands === null) {
      this.ports.say("the answer to the poll is no list of commands");
      return false;
    }
    const before = this.after;
    for (const command of commands) {
      this.after = Math.max(this.after, command.n);
      this.ports.command(command);
    }
    return this.after > before;
  }
}
