/** The events of a run for a page of this server: those of the wire, and between them the page's words as the server makes them. */
import { InputError } from "../base/errors.ts";
import { readLiveRun, type LiveRunRow } from "../store/liveRuns.ts";
import { feedEvents, type Feed } from "./live/eventFeed.ts";
import type { LiveRun } from "./live/liveRun.ts";
import type { LiveHub } from "./live/hub.ts";
import { sharedHub } from "./live/sharedHub.ts";
import { liveWords, planShapeOf, type PlanShape } from "./liveSheet.ts";
import { mayLookOn } from "./people/actor.ts";
import { sharedStore } from "./settings.ts";

/** Words are sent at least so often, so that a page knows that they are fresh; and not more often than the shorter time, ms. */
const WORDS_EVERY_MS = 1000, WORDS_LEAST_MS = 250;
/** Bytes that may wait for a slow page. */
const QUEUE_BYTES = 256 * 1024;

/** The hub of this process. InputError wire.busy where nothing is taken over the wire (a build, a test of a page). */
export function requireHub(): LiveHub {
  const hub = sharedHub();
  if (hub === null) throw new InputError("wire.busy", "a server that takes runs over the wire", "one that does not", {});
  return hub;
}

/** `after`: the event that the page was made with; a page that comes again says the last one it has seen. InputError store.noRun. */
export async function liveStream(request: Request, runId: string): Promise<Response> {
  const run = requireHub().open(runId), after = request.headers.get("last-event-id") ?? new URL(request.url).searchParams.get("after");
  const shape = await planShapeOf(runId), text = new TextEncoder();
  let end = (): void => undefined, pump = (): void => undefined;
  const body = new ReadableStream<Uint8Array>({
    start(controller) {
      const write = (chunk: string): void => controller.enqueue(text.encode(chunk)), canTake = (): boolean => (controller.desiredSize ?? 0) > 0;
      const feed = feedEvents(run, after, { write, canTake }), words = wordsFeed(run, shape, { write, canTake }, () => {
        if (mayLookOn(request)) return true;
        end();
        controller.close();
        return false;
      });
      pump = () => feed.pump();
      end = () => { feed.end(); words.end(); };
    },
    pull: () => pump(),
    cancel: () => end(),
  }, new ByteLengthQueuingStrategy({ highWaterMark: QUEUE_BYTES }));
  request.signal.addEventListener("abort", () => end(), { once: true });
  return new Response(body, { headers: { "Content-Type": "text/event-stream; charset=utf-8", "Cache-Control": "no-cache, no-transform", "X-Accel-Buffering": "no" } });
}

/** An event `words` without a number: it is always the newest, and never sent again. `mayGoOn`: false where the stream has ended because nobody may look any more. */
function wordsFeed(run: LiveRun, shape: PlanShape, { write, canTake }: Parameters<typeof feedEvents>[2], mayGoOn: () => boolean): Pick<Feed, "end"> {
  const { db } = sharedStore();
  let toldMs = 0, toldNumber = run.events.newest;
  const timer = setInterval(() => {
    const now = performance.now(), { newest } = run.events;
    if (!canTake() || (newest === toldNumber && now - toldMs < WORDS_EVERY_MS) || !mayGoOn()) return;
    const row = readLiveRun(db, run.id) as LiveRunRow;
    [toldMs, toldNumber] = [now, newest];
    write(`event: words\ndata: ${JSON.stringify(liveWords(row, run, shape))}\n\n`);
  }, WORDS_LEAST_MS);
  timer.unref();
  return { end: () => clearInterval(timer) };
}
