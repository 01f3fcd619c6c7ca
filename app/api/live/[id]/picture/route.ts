import { answerAs } from "../../../../../lib/server/answer.ts";
import { readLivePicture } from "../../../../../lib/server/liveFrames.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** A camera frame's picture while its run lives: `?file=`. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "watch", async () => readLivePicture((await params).id, new URL(request.url).searchParams));
}
