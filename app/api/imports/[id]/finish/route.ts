import { answer } from "../../../../../lib/server/answer.ts";
import { sharedUploads } from "../../../../../lib/server/sharedUploads.ts";

/** Everything was sent: it is measured when its turn comes. */
export function POST(request: Request, { params }: { readonly params: Promise<{ readonly id: string }> }): Promise<Response> {
  return answer(request, "import", async () => sharedUploads().finish((await params).id));
}
