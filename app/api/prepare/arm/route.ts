import { answer } from "../../../../lib/server/answer.ts";
import { armRun, readArming } from "../../../../lib/server/prepare.ts";

/** Makes the run; answers with its number. */
export function POST(request: Request): Promise<Response> {
  return answer(request, async () => armRun(await readArming(request)));
}
