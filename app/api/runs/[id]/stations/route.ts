import { answerAs } from "../../../../../lib/server/answer.ts";
import { stationsFile } from "../../../../../lib/server/downloads.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Stations of a result as CSV or Arrow (`?format=`), to keep. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "look", async () => stationsFile((await params).id, new URL(request.url).searchParams));
}
