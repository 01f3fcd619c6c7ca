import { answer } from "../../../../../lib/server/answer.ts";
import { readFrameView } from "../../../../../lib/server/frames.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** A camera frame of a result: `?resultId=&file=`. */
export async function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "look", async () => readFrameView((await params).id, new URL(request.url).searchParams));
}
