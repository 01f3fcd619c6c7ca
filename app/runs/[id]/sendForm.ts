/** Sends a form; gives what then stands in the log, or the words that say why it does not. */
export type Sent<T> = { readonly kept: T } | Refused;
/** `code`: of the refusal, and the field that it is about; "": none. */
export interface Refused { readonly problem: string; readonly code: string; readonly key: string }

/** Refusals in plain words; any other says what was expected. */
const PLAIN_WORDS: Readonly<Partial<Record<string, string>>> = {
  "people.signIn": "you are not signed in any more; sign in on another page of this browser, and send it again",
  "people.wrong": "the name or the passphrase is not right",
  "people.link": "the link was used, taken back, or is too old",
  "people.taken": "somebody has this name, or had it, and logs name them by it",
  "people.lastAdministrator": "there has to be another administrator first",
  "sign.grown": "the record has grown since you opened it; read it again",
};

interface Problem { readonly code: string; readonly message: string; readonly place?: { readonly key?: string } }

function wordsOf({ code, message, place }: Problem, retryAfter: string | null): string {
  if (code.startsWith("job.") && place?.key !== undefined) return `${message} at ${place.key}`;
  return code === "people.wait" ? `wait ${retryAfter ?? "some"} s, and try again` : PLAIN_WORDS[code] ?? message;
}

export function sendForm<T>(path: string, body: object): Promise<Sent<T>> {
  return sendBody(path, JSON.stringify(body), "application/json");
}

/** The same for a body of any kind, a file among them. */
export async function sendBody<T>(path: string, body: string | Blob, type: string): Promise<Sent<T>> {
  try {
    const response = await fetch(path, { method: "POST", headers: { "Content-Type": type }, body });
    const answer = await response.json() as T & { readonly problem?: Problem | null };
    if (response.ok) return { kept: answer };
    const { problem } = answer;
    return problem == null ? refused("the server could not write it; its own output says why") : { problem: wordsOf(problem, response.headers.get("retry-after")), code: problem.code, key: problem.place?.key ?? "" };
  } catch {
    return refused("the server did not answer; nothing was written");
  }
}

function refused(problem: string): Refused {
  return { problem, code: "", key: "" };
}
