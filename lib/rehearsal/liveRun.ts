/** A live rehearsal: the simulated cell in wall time, its queues and its poll, from the run's making to its finish. Clock, network and chance are handed in. */
import { answerWords, readRejected, readRunId } from "./liveAnswers.ts";
import { LiveCell, type LiveOptions, type Outgoing } from "./liveCell.ts";
import { wordsOf } from "./liveCauseDeeds.ts";
import type { CauseRequest } from "./liveCauses.ts";
import type { DeskState } from "./liveDeskPage.ts";
import { FrameDesk } from "./liveFrames.ts";
import { cellSilenceS, liveJob, type JobParts } from "./liveJob.ts";
import { isPassing, isTaken, Line, waitMs, type Clock } from "./liveLine.ts";
import { CALL_KINDS, jsonParcel, packParcels, type CallKind } from "./liveParcels.ts";
import { CommandPoll } from "./livePoll.ts";
import { ANSWER_WITHIN_MS, SendQueue, type Parcel } from "./liveQueue.ts";
import { causesOn, doingWords } from "./liveState.ts";
import type { Answer, Wire } from "./liveWire.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { ProfileFormat } from "./write.ts";

/** Batches are closed so often, ms. */
const BATCH_MS = 100;
/** The process was asleep for longer: the time is not made up for, ms. */
const LEAP_MS = 500;
/** What waits to be sent may take so much; the cell stops at this and goes on at half of it, bytes. */
const MOST_WAITING_BYTES = 64 * 1024 * 1024;
/** Length of a cut of the network, ms. */
const CUT_MS = 5000;
/** After a stop what is on its way gets so long, ms. */
const LAST_MS = 1000;

/** How a live rehearsal ended. */
export type Ending = { readonly kind: "finished" | "aborted" | "stopped" } | { readonly kind: "refused"; readonly why: string };

/** Everything that a live rehearsal is handed. */
export interface LiveRunOptions extends LiveOptions {
  /** As `fillSettings` gives them. */
  readonly settings: RehearsalSettings;
  readonly parts: JobParts;
  readonly format: ProfileFormat;
  readonly wire: Wire;
  readonly clock: Clock;
  /** Wall clock as it begins, ms. */
  readonly unixMs: number;
  /** Identity of this run, for repeated attempts to make it. */
  readonly idempotencyKey: string;
  /** Aborted: the cell stops laying and the run is left as it is. */
  readonly stop: AbortSignal;
  readonly mostWaitingBytes?: number;
  say(line: string): void;
  onRun(runId: string): void | Promise<void>;
}

/** One run on a server; `run` once. */
export class LiveRun {
  readonly cell: LiveCell;
  readonly line: Line;
  runId: string | null = null;
  private readonly options: LiveRunOptions;
  private readonly queues: Readonly<Record<CallKind, SendQueue>>;
  private readonly frames: FrameDesk;
  private poll: CommandPoll | null = null;
  private refusal: string | null = null;
  private lastMs = 0;

  constructor(options: LiveRunOptions) {
    this.options = options;
    this.cell = new LiveCell(options.settings, options);
    this.line = new Line(options.wire, options.clock);
    const queue = (): SendQueue => new SendQueue({ line: this.line, taken: (parcel, answer) => this.sayRejected(parcel, answer), refused: (parcel, answer) => this.takeRefusal(parcel.path, answer, this.cell.phase === "aborted") });
    this.queues = Object.fromEntries(CALL_KINDS.map((kind) => [kind, queue()])) as Record<CallKind, SendQueue>;
    this.frames = new FrameDesk(this.line, () => this.runPath, (parcel) => this.queues.frames.push(parcel));
  }

  /** From making the run to its finish, or whatever ends it before. */
  async run(): Promise<Ending> {
    try {
      const made = await this.make();
      if (made !== null) return made;
      const running = [...CALL_KINDS.map((kind) => this.queues[kind].run()), (this.poll as CommandPoll).run()];
      const ending = (await this.print()) ?? (await this.deliverAll()) ?? (await this.finish());
      this.line.close();
      await Promise.all(running);
      return ending;
    } finally {
      this.line.close();
    }
  }

  /** A cause from the training desk; a sentence, or NotNow with why not. */
  cause(request: CauseRequest): string {
    this.advance();
    if (request.kind !== "networkCut") return this.cell.cause(request);
    if (request.undo) this.line.mend();
    else this.line.cut(CUT_MS);
    const text = wordsOf(request.kind, request.undo);
    this.options.say(text);
    return text;
  }

  /** What the training desk shows. */
  get state(): DeskState { return { runId: this.runId ?? "", doing: doingWords(this.cell, this.line.isCut), on: causesOn(this.cell.wrong, this.line.isCut) }; }

  private get ended(): Ending | null {
    if (this.refusal !== null) return { kind: "refused", why: this.refusal };
    return this.options.stop.aborted ? { kind: "stopped" } : null;
  }

  /** Asks for the run until it is there. */
  private async make(): Promise<Ending | null> {
    const { settings, syringeMm3, parts, camera, clock, unixMs, idempotencyKey, stop } = this.options, live = liveJob(settings, syringeMm3, unixMs, parts, camera ?? null);
    const parcel = { ...jsonParcel("/runs", live), idempotencyKey };
    for (let tried = 0; ; tried++) {
      if (this.ended !== null) return this.ended;
      const answer = await this.askUnlessStopped(parcel);
      const runId = answer !== null && isTaken(answer) ? readRunId(answer.text) : null;
      if (runId !== null) {
        this.runId = runId;
        this.lastMs = clock.nowMs();
        this.poll = new CommandPoll({
          line: this.line, runPath: this.runPath, silenceS: cellSilenceS(live.job), say: (text) => this.options.say(text),
          command: (command) => { this.advance(); this.cell.take(command); }, refused: (answered) => { this.takeRefusal("the poll for commands", answered, this.cell.phase !== "printing"); },
        });
        await this.options.onRun(runId);
        return null;
      }
      if (answer !== null && !isPassing(answer)) return { kind: "refused", why: `POST /runs was answered with ${answerWords(answer)}` };
      if (tried === 0) this.options.say("no run yet: asking again until the server makes one");
      await clock.sleep(waitMs(answer, tried), stop);
    }
  }
  private get runPath(): string { return `/runs/${encodeURIComponent(this.runId as string)}`; }

  /** A call that a stop ends. */
  private async askUnlessStopped(parcel: Parcel): Promise<Answer | null> {
    const { stop } = this.options, leave = (): void => this.line.close();
    stop.addEventListener("abort", leave, { once: true });
    const answer = await this.line.ask(parcel, ANSWER_WITHIN_MS);
    stop.removeEventListener("abort", leave);
    return answer;
  }

  /** The print itself; null once it is over, else what ended it. */
  private async print(): Promise<Ending | null> {
    const { clock, stop, pace } = this.options, poll = this.poll as CommandPoll;
    for (;;) {
      this.advance();
      if (clock.nowMs() >= poll.silentAtMs) this.cell.selfPause("no answer to the poll: the cell has paused by itself and waits for a resume");
      this.send();
      this.watchQueues();
      if (this.ended?.kind === "stopped") await this.leave();
      if (this.ended !== null) return this.ended;
      if (this.cell.phase !== "printing") return null;
      const now = clock.nowMs(), untilReceiptMs = (this.cell.receiptDueS - this.cell.nowS) / pace * 1000, untilSilentMs = this.cell.stopped.has("self") ? Infinity : poll.silentAtMs - now;
      await clock.sleep(Math.max(0, Math.min(BATCH_MS, untilReceiptMs, untilSilentMs)), stop);
    }
  }

  /** Moves the cell's time on to now. */
  private advance(): void {
    const now = this.options.clock.nowMs(), wallMs = Math.min(LEAP_MS, now - this.lastMs);
    this.lastMs = now;
    this.cell.advanceTo(this.cell.nowS + wallMs / 1000 * this.options.pace);
  }

  private send(): void {
    const messages = this.cell.drain(), { settings, format } = this.options;
    for (const message of messages) if (message.kind === "said") this.options.say(`${message.tS.toFixed(1)} s: ${message.text}`);
    for (const message of messages) if (message.kind === "shot" && this.frames.take(message)) this.options.say(`${message.tS.toFixed(1)} s: a frame was left out, developing is slower than looking`);
    for (const { kind, parcel } of packParcels(messages, this.runPath, settings, format)) this.queues[kind].push(parcel);
    for (const message of messages) if (message.kind === "receipt") this.options.say(receiptWords(message));
  }

  private watchQueues(): void {
    const most = this.options.mostWaitingBytes ?? MOST_WAITING_BYTES, waiting = CALL_KINDS.reduce((sum, kind) => sum + this.queues[kind].waitingBytes, 0);
    const held = this.cell.stopped.has("queue");
    if (!held && waiting >= most) {
      this.options.say(`${Math.round(waiting / 1e6)} MB wait to be sent: the cell stands until half of that is gone`);
      this.cell.hold();
    } else if (held && waiting <= most / 2) this.cell.release();
  }

  /** Whatever is on its way gets a moment; nothing is finished. */
  private async leave(): Promise<void> {
    const { clock } = this.options, untilMs = clock.nowMs() + LAST_MS;
    while (!this.isDelivered && clock.nowMs() < untilMs && this.refusal === null) await clock.sleep(20, this.line.closed);
  }

  private get isDelivered(): boolean { return this.frames.isIdle && CALL_KINDS.every((kind) => this.queues[kind].isEmpty); }

  private async deliverAll(): Promise<Ending | null> {
    while (!this.isDelivered) {
      if (this.ended !== null) return this.ended;
      await this.options.clock.sleep(BATCH_MS / 5, this.options.stop);
      this.advance();
      this.send();
    }
    return null;
  }

  /** Repeated until it is answered. */
  private async finish(): Promise<Ending> {
    const { clock, stop } = this.options, parcel = jsonParcel(`${this.runPath}/finish`, {}), aborted = this.cell.phase === "aborted";
    for (let tried = 0; ; tried++) {
      const answer = await this.askUnlessStopped(parcel);
      if (isTaken(answer) || (aborted && answer?.status === 409)) return { kind: aborted ? "aborted" : "finished" };
      if (this.ended !== null) return this.ended;
      if (answer !== null && !isPassing(answer)) return { kind: "refused", why: `finish was answered with ${answerWords(answer)}` };
      await clock.sleep(waitMs(answer, tried), stop);
    }
  }

  /** A refusal ends the run, but that a run which is over (on both sides) takes no more. True: go on without it. */
  private takeRefusal(what: string, answer: Answer, isOver: boolean): boolean {
    if (answer.status === 409 && isOver) return true;
    this.refusal ??= `${what} was answered with ${answerWords(answer)}`;
    return false;
  }

  private sayRejected(parcel: Parcel, answer: Answer): void {
    const rejected = readRejected(answer.text), first = rejected[0];
    if (first !== undefined) this.options.say(`${parcel.path}: ${rejected.length} rejected, the first: ${first}`);
  }
}

function receiptWords({ n, outcome, note }: Extract<Outgoing, { kind: "receipt" }>): string {
  return `command ${n}: ${outcome}, ${note}`;
}
