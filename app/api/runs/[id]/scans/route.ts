import { answer } from "../../../../../lib/server/answer.ts";
import { receiveScan } from "../../../../../lib/server/receiveScan.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Adds a scan of the run once its material had set, its profiles as the body: `?name=profiles.ndjson&setAt=…&note=…`. Answers with what it says, once it is kept. */
export function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "scan", async ({ name }) => receiveScan((await params).id, request, name));
}
