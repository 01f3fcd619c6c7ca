import { answerAs } from "../../../lib/server/answer.ts";
import { actorOf } from "../../../lib/server/people/actor.ts";
import { signOut } from "../../../lib/server/people/signIn.ts";

/** Signs out here; with `?everywhere` on every browser. */
export function POST(request: Request): Promise<Response> {
  return answerAs(request, "open", () => signOut(request, actorOf(request), new URL(request.url).searchParams.has("everywhere")));
}
