import { answerAs } from "../../../../../lib/server/answer.ts";
import { readSurfacePly } from "../../../../../lib/server/surface.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The measured top surface as a PLY file; `?resultId=` of a recompute, else the run's own result. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "look", async () => readSurfacePly((await params).id, new URL(request.url).searchParams.get("resultId"), request.signal));
}
