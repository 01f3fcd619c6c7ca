import { answer } from "../../../../../lib/server/answer.ts";
import { liveStationDetail } from "../../../../../lib/server/liveDeeds.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The section of the reading that stands at a station: `?layer=&strand=&station=`. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "watch", async () => liveStationDetail((await params).id, new URL(request.url).searchParams));
}
