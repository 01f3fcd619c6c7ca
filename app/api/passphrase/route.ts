import { answer } from "../../../lib/server/answer.ts";
import { changePassphrase, readChange } from "../../../lib/server/people/signIn.ts";

/** Gives oneself a new passphrase. */
export function POST(request: Request): Promise<Response> {
  return answer(request, "ownPassphrase", async (actor) => changePassphrase(request, actor, await readChange(request)));
}
