import { answer } from "../../../../../lib/server/answer.ts";
import { readCheckedRecord } from "../../../../../lib/server/readReport.ts";

export const dynamic = "force-dynamic";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** The record, checked now, as a report's page puts it in; `?result=`: whose report it is. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return answer(request, "look", async (actor) => readCheckedRecord((await params).id, new URL(request.url).searchParams.get("result") ?? "", actor));
}
