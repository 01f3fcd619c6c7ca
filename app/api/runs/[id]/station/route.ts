import { answer } from "../../../../../lib/server/answer.ts";
import { readStationDetail } from "../../../../../lib/server/stationDetail.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Section and readings of one station. */
export async function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "look", async () => readStationDetail((await params).id, new URL(request.url).searchParams));
}
