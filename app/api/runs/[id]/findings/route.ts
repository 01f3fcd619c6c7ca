import { answerAs } from "../../../../../lib/server/answer.ts";
import { findingsFile } from "../../../../../lib/server/downloads.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Findings of a result as CSV, with what was decided about them, to keep. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "look", async () => findingsFile((await params).id, new URL(request.url).searchParams));
}
