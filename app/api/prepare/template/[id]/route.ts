import { answer } from "../../../../../lib/server/answer.ts";
import { readTemplate } from "../../../../../lib/server/prepare.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Job and plan of an earlier run, for the next one. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "look", async () => readTemplate((await params).id));
}
