/** A run's events as the text of an event stream, for whoever can be written to; a slow reader is sent what is still kept when it is ready again. */
import type { LiveRun } from "./liveRun.ts";

/** Something is sent at least so often, so that a broken connection is found out, ms. */
const ALIVE_MS = 10_000;

export interface FeedReader {
  readonly write: (text: string) => void;
  /** False: it is slow or gone; `pump` is called once it is ready again. */
  readonly canTake: () => boolean;
}

export interface Feed {
  /** Sends what has come about. */
  pump(): void;
  end(): void;
}

/** The number of a run's newest event, as a reader gives it back to go on after it. Numbers of another life of the run mean nothing here. */
export function newestEventId({ epoch, events }: LiveRun): string {
  return `${epoch}-${events.newest}`;
}

function numberAfter(id: string | null, { epoch, events }: LiveRun): number | null {
  const match = /^([0-9a-z]+)-(\d+)$/.exec(id ?? "");
  return match?.[1] === epoch ? Math.min(Number(match[2]), events.newest) : null;
}

/** Feeds a reader that has seen the events up to `lastEventId`; one without a number it can go on from is told the state first. */
export function feedEvents(run: LiveRun, lastEventId: string | null, { write, canTake }: FeedReader): Feed {
  const { events, epoch } = run, known = numberAfter(lastEventId, run);
  let n = known ?? events.newest;
  if (known === null) {
    const { state, endAsked } = run.row;
    write(`id: ${epoch}-${n}\nevent: state\ndata: ${JSON.stringify({ state, ending: endAsked !== null, reason: "" })}\n\n`);
  }
  const pump = (): void => {
    for (let next = events.after(n); next !== null && canTake(); next = events.after(n)) {
      const { event, isGap } = next, gap = isGap ? `: events ${n + 1} to ${event.n - 1} are not kept any more\n\n` : "";
      n = event.n; // before it is written: writing may ask for more at once
      write(`${gap}id: ${epoch}-${n}\nevent: ${event.kind}\ndata: ${event.text}\n\n`);
    }
  };
  const alive = setInterval(() => { if (canTake()) write(": here\n\n"); }, ALIVE_MS);
  alive.unref();
  const silence = events.listen(pump);
  pump();
  return { pump, end: () => { clearInterval(alive); silence(); } };
}
