import { answer } from "../../../../lib/server/answer.ts";
import { checkPrepared, readPrepareOffer } from "../../../../lib/server/prepare.ts";

/** What can be said of a job and a plan before anything is laid. */
export function POST(request: Request): Promise<Response> {
  return answer(request, "look", async () => checkPrepared(await readPrepareOffer(request), request.signal, Date.now()));
}
