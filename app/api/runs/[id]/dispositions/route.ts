import { answer } from "../../../../../lib/server/answer.ts";
import { disposeFinding } from "../../../../../lib/server/dispositions.ts";
import { readDisposition } from "../../../../../lib/server/personInput.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Writes what a person decided about a finding; answers with it as it stands in the log. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, async () => disposeFinding((await params).id, await readDisposition(request)));
}
