import { answerAs } from "../../../lib/server/answer.ts";
import { readSignIn, signIn } from "../../../lib/server/people/signIn.ts";

/** Signs in on this browser by name and passphrase. */
export function POST(request: Request): Promise<Response> {
  return answerAs(request, "open", async () => signIn(request, await readSignIn(request)));
}
