import { answer } from "../../../../../lib/server/answer.ts";
import { doAlert, readAlertDeed } from "../../../../../lib/server/liveDeeds.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Acknowledges an alert, shelves it, decides about it; answers with its number. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "alert", async ({ name }) => doAlert((await params).id, await readAlertDeed(request), name));
}
