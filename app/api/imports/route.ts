import { answer } from "../../../lib/server/answer.ts";
import { readOffer } from "../../../lib/server/offer.ts";
import { sharedUploads } from "../../../lib/server/sharedUploads.ts";

/** Begins: `?kind=folder|zip&name=…&fileCount=…&byteCount=…` → the state, with the import's number. */
export function POST(request: Request): Promise<Response> {
  return answer(request, "import", ({ name }) => sharedUploads().begin(readOffer(new URL(request.url).searchParams), name));
}
