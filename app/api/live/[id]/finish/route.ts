import { answer } from "../../../../../lib/server/answer.ts";
import { endRun, readEnding } from "../../../../../lib/server/liveAsk.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Ends a run whose cell is gone; answers once its result is written. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "end", async ({ name }) => endRun((await params).id, await readEnding(request), name));
}
