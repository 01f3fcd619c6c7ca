import { answer } from "../../../../../lib/server/answer.ts";
import { askCell, readAsk } from "../../../../../lib/server/liveAsk.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Asks the cell to pause, resume or abort; answers with the command's number. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, async () => askCell((await params).id, await readAsk(request)));
}
