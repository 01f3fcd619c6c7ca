import { answer } from "../../../../../lib/server/answer.ts";
import { askRecompute, readResultsNow } from "../../../../../lib/server/recompute/results.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The run's results, and how far a recompute is. */
export async function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "watch", async () => readResultsNow((await params).id));
}

/** Begins to measure the run again under other bands; answers with how far it is. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  const { id } = await params;
  return answer(request, "recompute", ({ name }) => askRecompute(id, request, name));
}
