import { answer } from "../../../../../lib/server/answer.ts";
import { readTakenOff, takeOff } from "../../../../../lib/server/liveDeeds.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Marks a stretch as taken off; answers where it is to be laid again. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "rework", async ({ name }) => takeOff((await params).id, await readTakenOff(request), name));
}
