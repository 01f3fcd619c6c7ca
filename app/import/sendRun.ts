/** Sends what was chosen to the server, and follows it to its end. */
import { isOver, type ImportProblem, type ImportState } from "../../lib/model/importState.ts";
import type { Chosen } from "./chosenFiles.ts";
import type { View } from "./view.ts";

/** How often the server is asked how far it is, ms. */
const ASK_EVERY_MS = 250;

type Answer = { readonly state: ImportState } | { readonly problem: ImportProblem | null };

/** Rejects where there is no answer, or none in JSON. */
async function ask(method: string, path: string, more: { readonly body?: File; readonly signal?: AbortSignal } = {}): Promise<Answer> {
  const response = await fetch(`/api/imports${path}`, { method, cache: "no-store", ...more });
  const told = await response.json() as ImportState | { problem: ImportProblem | null };
  return response.ok ? { state: told as ImportState } : { problem: (told as { problem: ImportProblem | null }).problem };
}

export interface Sending {
  /** How far it is, again and again until it is over. */
  readonly heard: (view: View) => void;
  /** Aborted by Cancel. */
  readonly signal: AbortSignal;
}

/** Resolves with what the page shows at the end. */
export async function sendRun({ kind, name, files }: Chosen, { heard, signal }: Sending): Promise<View> {
  const byteCount = files.reduce((total, { file }) => total + file.size, 0);
  try {
    const begun = await ask("POST", `?${new URLSearchParams({ kind, name, fileCount: String(files.length), byteCount: String(byteCount) })}`);
    if (!("state" in begun)) return refusal(name, begun.problem);
    const { importId } = begun.state;
    heard({ phase: "told", state: begun.state });
    const cancelIt = (): void => { void ask("DELETE", `/${importId}`).catch(() => undefined); };
    if (signal.aborted) cancelIt();
    signal.addEventListener("abort", cancelIt);
    // A file that cannot be sent (it was changed or taken away meanwhile) ends it; the server then says so, or nothing.
    void sendFiles(importId, files, signal).catch(cancelIt);
    return await follow(importId, name, heard);
  } catch {
    return { phase: "lost", name };
  }
}

function refusal(name: string, problem: ImportProblem | null): View {
  return problem === null ? { phase: "lost", name } : { phase: "refused", name, problem };
}

async function sendFiles(importId: string, files: Chosen["files"], signal: AbortSignal): Promise<void> {
  for (const { path, file } of files) {
    const answer = await ask("PUT", `/${importId}/files?${new URLSearchParams({ path })}`, { body: file, signal });
    if (!("state" in answer)) return;
  }
  await ask("POST", `/${importId}/finish`, { signal });
}

async function follow(importId: string, name: string, heard: Sending["heard"]): Promise<View> {
  for (;;) {
    await new Promise((done) => { setTimeout(done, ASK_EVERY_MS); });
    const answer = await ask("GET", `/${importId}`);
    if (!("state" in answer)) return refusal(name, answer.problem);
    const view: View = { phase: "told", state: answer.state };
    if (isOver(answer.state)) return view;
    heard(view);
  }
}
