import { answerAs } from "../../../../../../lib/server/answer.ts";
import { readPicture } from "../../../../../../lib/server/pictures.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string; readonly sha256: string }> }

/** A kept picture of the run, by the hash of its bytes. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "look", async () => {
    const { id, sha256 } = await params;
    return readPicture(id, sha256);
  });
}
