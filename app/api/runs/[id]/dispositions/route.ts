import { answer } from "../../../../../lib/server/answer.ts";
import { disposeFinding } from "../../../../../lib/server/dispositions.ts";
import { readDisposition } from "../../../../../lib/server/personInput.ts";
import { isOpenRun } from "../../../../../lib/server/record.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Writes what a person decided about a finding; answers with it as it stands in the log. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  const { id } = await params;
  return answer(request, () => (isOpenRun(id) ? "dispose" : "disposeFinished"), async ({ name }) => disposeFinding(id, await readDisposition(request), name));
}
