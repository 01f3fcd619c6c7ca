import { answerAs } from "../../../../../lib/server/answer.ts";
import { liveStream } from "../../../../../lib/server/liveStream.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The run's events as on the wire, and the page's words between them: `?after=NUMBER` or Last-Event-ID. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "watch", async () => liveStream(request, (await params).id));
}
