import { answerAs } from "../../../../../lib/server/answer.ts";
import { readTarget } from "../../../../../lib/server/target.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Where the run's stations lie in space, packed (lib/model/targetShape.ts). */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "look", async () => readTarget((await params).id));
}
