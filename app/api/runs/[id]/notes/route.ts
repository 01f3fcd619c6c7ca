import { answer } from "../../../../../lib/server/answer.ts";
import { addNote } from "../../../../../lib/server/dispositions.ts";
import { readNote } from "../../../../../lib/server/personInput.ts";
import { isOpenRun } from "../../../../../lib/server/record.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Pins a note to a place; answers with it as it stands in the log. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  const { id } = await params;
  return answer(request, () => (isOpenRun(id) ? "note" : "noteFinished"), async ({ name }) => addNote(id, await readNote(request), name));
}
