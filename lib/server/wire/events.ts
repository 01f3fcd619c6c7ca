/** A run's events as a stream that a browser can follow; whoever reads slowly is sent what is still kept when it is ready again. */
import type { LiveRun } from "../live/liveRun.ts";
import { WIRE_HEADERS } from "./headers.ts";
import type { WireAnswer, WireContext } from "./routes.ts";

/** Something is sent at least so often, so that a broken connection is found out, ms. */
const ALIVE_MS = 10_000;
/** Numbers of another process's events mean nothing here. */
const EPOCH = Date.now().toString(36);

function numberAfter(lastEventId: string | undefined, newest: number): number {
  const match = /^([0-9a-z]+)-(\d+)$/.exec(lastEventId ?? "");
  return match?.[1] === EPOCH ? Math.min(Number(match[2]), newest) : newest;
}

/** Answers until the reader goes. A reader without a number it can go on from is told the state first. */
export async function streamEvents({ request, response }: Pick<WireContext, "request" | "response">, run: LiveRun): Promise<WireAnswer> {
  const { events } = run, header = request.headers["last-event-id"], sent = typeof header === "string" ? header : undefined;
  let n = numberAfter(sent, events.newest);
  response.writeHead(200, { ...WIRE_HEADERS, "Content-Type": "text/event-stream; charset=utf-8", "Cache-Control": "no-cache, no-transform", "X-Accel-Buffering": "no" });
  const { state, endAsked } = run.row;
  if (sent === undefined || !sent.startsWith(`${EPOCH}-`)) response.write(`id: ${EPOCH}-${n}\nevent: state\ndata: ${JSON.stringify({ state, ending: endAsked !== null, reason: "" })}\n\n`);
  const pump = (): void => {
    for (let next = events.after(n); next !== null && !response.writableNeedDrain && !response.destroyed; next = events.after(n)) {
      const { event, isGap } = next;
      if (isGap) response.write(`: events ${n + 1} to ${event.n - 1} are not kept any more\n\n`);
      response.write(`id: ${EPOCH}-${event.n}\nevent: ${event.kind}\ndata: ${event.text}\n\n`);
      n = event.n;
    }
  };
  const alive = setInterval(() => { if (!response.writableNeedDrain) response.write(": here\n\n"); }, ALIVE_MS);
  const silence = events.listen(pump);
  response.on("drain", pump);
  pump();
  await new Promise<void>((done) => { response.once("close", done); });
  clearInterval(alive);
  silence();
  return null;
}
