import { answer } from "../../../lib/server/answer.ts";
import { doPeople, readPeopleDeed } from "../../../lib/server/people/people.ts";

/** What an administrator does about people; answers with the path of a link where one was made. */
export function POST(request: Request): Promise<Response> {
  return answer(request, "people", async (actor) => doPeople(await readPeopleDeed(request), actor));
}
