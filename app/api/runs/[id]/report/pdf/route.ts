import { answerAs } from "../../../../../../lib/server/answer.ts";
import { readReportPdf } from "../../../../../../lib/server/reportPdf.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The report on paper: the run's own result, or with `?result=ID` a recompute. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answerAs(request, "look", async (actor) => readReportPdf((await params).id, new URL(request.url).searchParams.get("result"), actor, request.signal));
}
