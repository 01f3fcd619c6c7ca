/** A run's events as the answer to a call of the wire. */
import { feedEvents } from "../live/eventFeed.ts";
import type { LiveRun } from "../live/liveRun.ts";
import { WIRE_HEADERS } from "./headers.ts";
import type { WireAnswer, WireContext } from "./routes.ts";

/** Answers until the reader goes. */
export async function streamEvents({ request, response }: Pick<WireContext, "request" | "response">, run: LiveRun): Promise<WireAnswer> {
  const header = request.headers["last-event-id"];
  response.writeHead(200, { ...WIRE_HEADERS, "Content-Type": "text/event-stream; charset=utf-8", "Cache-Control": "no-cache, no-transform", "X-Accel-Buffering": "no" });
  const feed = feedEvents(run, typeof header === "string" ? header : null, {
    write: (text) => { response.write(text); }, canTake: () => !response.writableNeedDrain && !response.destroyed,
  });
  response.on("drain", () => feed.pump());
  await new Promise<void>((done) => { response.once("close", done); });
  feed.end();
  return null;
}
