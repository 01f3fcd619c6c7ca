import { answerAs } from "../../../lib/server/answer.ts";
import { enterBy, readEntry } from "../../../lib/server/people/links.ts";

/** Comes in by a link, once: as the first person, as one who was invited, or with a new passphrase. */
export function POST(request: Request): Promise<Response> {
  return answerAs(request, "open", async () => enterBy(request, await readEntry(request)));
}
