import { answer } from "../../../../../lib/server/answer.ts";
import { dropRaw, dropReason, readDrop } from "../../../../../lib/server/dropRaw.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Gives up the raw data of a run whose export is verified first; answers with how much it was. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  const { id } = await params;
  return answer(request, "dropRaw", async ({ name }) => {
    const asked = await readDrop(request);
    return dropRaw(id, { folder: asked.folder, reason: dropReason(asked), actor: name });
  });
}
