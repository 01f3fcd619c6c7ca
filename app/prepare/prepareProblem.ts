/** Where bad input is told on the page, and in what words. */
import { PREPARE_FIELDS, type PrepareProblem } from "../../lib/model/prepare.ts";
import type { Checked, Draft } from "./usePrepare.ts";
import { planNamedBy } from "./chosen.ts";

/** The field a problem belongs to: a key of PREPARE_FIELDS, "person", or the files themselves. */
export function problemAt({ code, place: { key, file } }: PrepareProblem): string {
  if (code.startsWith("people.")) return "person";
  return file === "job.json" && PREPARE_FIELDS.some((field) => field.key === key) ? key ?? "files" : "files";
}

function capital(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}

/** "Expected a number above 0, got "wide"."; at the files with file, line and key in front. */
export function problemSentence(problem: PrepareProblem): string {
  const { place: { file, line, key }, message } = problem;
  if (problemAt(problem) !== "files") return `${capital(message)}.`;
  const where = [file, line === undefined ? undefined : `line ${line}`, key].filter((part) => part !== undefined).join(", ");
  return where === "" ? `${capital(message)}.` : `${where}: ${message}.`;
}

function labelAt(problem: PrepareProblem): string {
  const at = problemAt(problem);
  return at === "person" ? "who arms it" : at === "files" ? problem.place.file ?? "a file" : (PREPARE_FIELDS.find(({ key }) => key === at)?.label ?? at).toLowerCase();
}

/** What the page opens with. */
export function headWords(draft: Draft, checked: Checked, problem: PrepareProblem | null): { readonly headline: string; readonly detail: string } {
  const nothing = { headline: "Prepare a run.", detail: "Choose job.json and the plan, or begin as an earlier run. Change what differs, look at what is known beforehand, and arm it." };
  if (draft.jobText === "" && draft.planText === "") return nothing;
  if (draft.planText === "") return { headline: "The plan is missing.", detail: `The job names ${planNamedBy(draft.jobText) ?? "no plan"}: choose it, too.` };
  if (draft.jobText === "") return { headline: "The job is missing.", detail: "Choose job.json, too." };
  if (problem !== null) return { headline: `Not ready: ${labelAt(problem)} is not right.`, detail: problemSentence(problem) };
  if (checked.state !== "told" || !("given" in checked.answer)) return { headline: "Being checked.", detail: "The plan is being looked at." };
  return checked.answer.given;
}
