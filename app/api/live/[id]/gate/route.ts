import { answer } from "../../../../../lib/server/answer.ts";
import { openGate, readGateOpening } from "../../../../../lib/server/liveDeeds.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Lets a layer that the gate holds be covered as it is. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "dispose", async ({ name }) => openGate((await params).id, await readGateOpening(request), name));
}
