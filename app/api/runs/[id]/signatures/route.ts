import { answer } from "../../../../../lib/server/answer.ts";
import { reportOf } from "../../../../../lib/server/report.ts";
import { makeReportPdf } from "../../../../../lib/server/reportPdf.ts";
import { readSigning, signReport } from "../../../../../lib/server/signing.ts";

interface Context { readonly params: Promise<{ readonly id: string }> }

/** Signs the report of a run; answers with the signature as it stands in the log. */
export async function POST(request: Request, { params }: Context): Promise<Response> {
  const { id } = await params;
  return answer(request, "sign", async (actor) => signReport(request, actor, id, await readSigning(request), { reportOf, makePdf: makeReportPdf }));
}
