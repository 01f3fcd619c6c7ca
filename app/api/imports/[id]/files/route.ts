import { answer } from "../../../../../lib/server/answer.ts";
import { bodyOf, readPath } from "../../../../../lib/server/offer.ts";
import { sharedUploads } from "../../../../../lib/server/sharedUploads.ts";

/** One file, its bytes as the body: `?path=frames/004.png`. */
export function PUT(request: Request, { params }: { readonly params: Promise<{ readonly id: string }> }): Promise<Response> {
  return answer(request, "import", async () => sharedUploads().putFile((await params).id, readPath(new URL(request.url).searchParams), bodyOf(request)));
}
