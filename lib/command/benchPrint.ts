/** A print sent at its own pace, 500 profiles of 1 000 points a second, and how long what it brings takes to be heard or seen. */
import { ARROW_TYPE } from "../sensing/wireProfiles.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { simulate, type Rehearsal } from "../rehearsal/simulate.ts";
import type { BenchRow } from "./bench.ts";
import type { FrameSender } from "./benchCamera.ts";
import { bodyOf, makeRun, post, postJson, takeUntil, type Wire } from "./benchCalls.ts";
import type { Io } from "./io.ts";

const POINTS = 1000, SPEED_MM_S = 8, PROFILES_PER_S = 500;
/** Devices send so often, ms. */
const SEND_EVERY_MS = 20;
/** What was sent last gets so long to be heard, ms. */
const LAST_MS = 500;

/** Calls `heard` with kind and text of each event as it comes, until the reader is ended. */
export async function follow(wire: Wire, runId: string, end: AbortSignal, heard: (kind: string, text: string) => void): Promise<void> {
  const response = await fetch(`${wire.url}/api/v1/runs/${runId}/events`, { headers: { Authorization: `Bearer ${wire.token}` }, signal: end });
  let text = "";
  const decoder = new TextDecoder();
  for await (const chunk of response.body as unknown as AsyncIterable<Uint8Array>) {
    text += decoder.decode(chunk, { stream: true });
    for (let at = text.indexOf("\n\n"); at >= 0; at = text.indexOf("\n\n")) {
      const [, kind, data] = /event: (\w+)\ndata: (.*)/.exec(text.slice(0, at)) ?? [];
      text = text.slice(at + 2);
      if (kind !== undefined && data !== undefined) heard(kind, data);
    }
  }
}

/** Times from sending to whatever is timed, ms. */
export class Latencies {
  private readonly sent: { readonly tS: number; readonly ms: number }[] = [];
  private readonly ms: number[] = [];

  noteSent(tS: number, ms: number): void {
    this.sent.push({ tS, ms });
  }

  /** What was completed by the profile stamped `byS` was heard or seen at `ms`. */
  note(byS: number, ms: number): void {
    const sending = this.sent.find(({ tS }) => tS >= byS);
    if (sending !== undefined) this.ms.push(ms - sending.ms);
  }

  get count(): number {
    return this.ms.length;
  }

  /** "18 ms": this share of them were within it. */
  within(share: number): string {
    const sorted = this.ms.toSorted((a, b) => a - b);
    return `${(sorted[Math.floor(share * (sorted.length - 1))] ?? Number.NaN).toFixed(0)} ms`;
  }
}

export interface SentPrint { readonly runId: string; readonly profilesPerS: number }

/** The print that is sent. */
export const PRINT = { points: POINTS, dxMm: 0.02, strands: 5, lengthMm: 20, supportScan: false, finalScan: false, speedMmS: SPEED_MM_S, profileSpacingMm: SPEED_MM_S / PROFILES_PER_S } as const;

interface Sending {
  readonly noteSent: (tS: number, ms: number) => void;
  /** Begins to watch it. */
  readonly ready: (runId: string) => Promise<void>;
  /** null: no camera sends beside the profiler. */
  readonly camera: FrameSender | null;
}

/** Makes a run, lets `ready` begin to watch it, and sends it; times are handed on by the wall clock (`nowMs`), as a browser has it too. */
export async function sendPrint(io: Io, wire: Wire, rehearsal: Rehearsal, { noteSent, ready, camera }: Sending): Promise<SentPrint> {
  const copies: ProfileMessage[] = [];
  for (const profile of rehearsal.profiles()) copies.push({ ...profile, zMm: profile.zMm.slice() }); // its arrays are reused
  const runId = await makeRun(wire, rehearsal);
  await ready(runId);
  const beganS = (copies[0]?.tS ?? 0) - 0.01, began = io.nowMs(), rows = [...rehearsal.progress], all = [...copies], sending: Promise<unknown>[] = [];
  while (all.length > 0) {
    await new Promise((done) => { setTimeout(done, SEND_EVERY_MS); });
    const nowS = beganS + (io.nowMs() - began) / 1000, due = takeUntil(all, nowS), progress = takeUntil(rows, nowS);
    if (progress.length > 0) sending.push(postJson(wire, `/runs/${runId}/progress`, progress));
    camera?.tick(runId, nowS);
    if (due.length === 0) continue;
    noteSent((due.at(-1) as ProfileMessage).tS, Date.now());
    sending.push(post(wire, `/runs/${runId}/profiles`, ARROW_TYPE, bodyOf(due, POINTS)));
  }
  await Promise.all([...sending, ...camera?.sending ?? []]);
  await new Promise((done) => { setTimeout(done, LAST_MS); });
  return { runId, profilesPerS: copies.length / ((copies.at(-1)?.tS ?? 0) - beganS) };
}

/** A run is made before its print begins: so long, ms. */
const ARMED_MS = 2000;

/** From sending to the event that tells of it. */
export async function eventRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  const latencies = new Latencies(), end = new AbortController();
  let following: Promise<void> = Promise.resolve();
  const { profilesPerS } = await sendPrint(io, wire, simulate(PRINT), {
    noteSent: (tS, ms) => latencies.noteSent(tS, ms), camera: null,
    ready: async (runId) => {
      following = follow(wire, runId, end.signal, (kind, text) => { if (kind === "reading") for (const { byS } of JSON.parse(text) as { byS: number }[]) latencies.note(byS, Date.now()); }).catch(() => undefined);
      await new Promise((done) => { setTimeout(done, ARMED_MS); });
    },
  });
  end.abort();
  await following;
  return [
    { what: `arrival to event at ${profilesPerS.toFixed(0)} profiles/s of 1 000 points, ${latencies.count} readings: half of them within`, value: latencies.within(0.5), aim: "" },
    { what: "arrival to event: 99 % of them within", value: latencies.within(0.99), aim: "< 100" },
  ];
}
