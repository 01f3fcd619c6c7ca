import { answer } from "../../../../../lib/server/answer.ts";
import { askCell, readAsk } from "../../../../../lib/server/liveAsk.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Asks the cell; answers with the command's number. A pause and an abort never ask who it is, so the door is open; a resume does. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "open", async () => askCell((await params).id, await readAsk(request), request));
}
