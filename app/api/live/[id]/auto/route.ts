import { answer } from "../../../../../lib/server/answer.ts";
import { readAutoPause, setAutoPause } from "../../../../../lib/server/liveDeeds.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Lets the program pause by itself, or no more. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "automaticPause", async ({ name }) => setAutoPause((await params).id, (await readAutoPause(request)).isOn, name));
}
