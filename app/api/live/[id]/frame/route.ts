import { answer } from "../../../../../lib/server/answer.ts";
import { readLiveFrame } from "../../../../../lib/server/liveFrames.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The newest measured camera frame: `?file=`, which names it. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "watch", async () => readLiveFrame((await params).id, new URL(request.url).searchParams));
}
