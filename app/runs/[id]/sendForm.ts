/** Sends a form of a run's page; gives what then stands in the log, or the sentence that says why it does not. */
export type Sent<T> = { readonly kept: T } | { readonly problem: string };

export async function sendForm<T>(path: string, body: object): Promise<Sent<T>> {
  try {
    const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
    const answer = await response.json() as T & { readonly problem?: { readonly message: string } | null };
    return response.ok ? { kept: answer } : { problem: answer.problem?.message ?? "the server could not write it; its own output says why" };
  } catch {
    return { problem: "the server did not answer; nothing was written" };
  }
}
