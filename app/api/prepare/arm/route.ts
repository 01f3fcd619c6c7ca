import { answer } from "../../../../lib/server/answer.ts";
import { armRun, readPrepareOffer } from "../../../../lib/server/prepare.ts";

/** Makes the run; answers with its number. */
export function POST(request: Request): Promise<Response> {
  return answer(request, "prepare", async ({ name }) => armRun(await readPrepareOffer(request), name));
}
