import { answer } from "../../../../lib/server/answer.ts";
import { sharedUploads } from "../../../../lib/server/sharedUploads.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** How far it is. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "watch", async () => sharedUploads().read((await params).id));
}

/** Cancels it; answers when nothing of it is left. */
export function DELETE(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "import", async () => sharedUploads().cancel((await params).id));
}
