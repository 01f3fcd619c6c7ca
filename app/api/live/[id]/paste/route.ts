import { answer } from "../../../../../lib/server/answer.ts";
import { markPaste, readPasteMark } from "../../../../../lib/server/liveDeeds.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Marks a rectangle of a frame in which all is paste; answers the mark. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "pasteMark", async ({ name }) => markPaste((await params).id, await readPasteMark(request), name));
}
