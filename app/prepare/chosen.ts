/** Which of the files that a person chose or dropped are the job and the plan. */
import type { ChosenFile } from "../import/chosenFiles.ts";

export interface Picked {
  readonly job: ChosenFile | null;
  readonly plan: ChosenFile | null;
  /** What is neither; null: there is a job or a plan among them. */
  readonly oddWords: string | null;
}

const nameOf = ({ path }: ChosenFile): string => path.split("/").at(-1) ?? path;

/** The plan's file that a job names; null: it names none, or is no JSON. */
export function planNamedBy(jobText: string): string | null {
  try {
    const { plan } = JSON.parse(jobText) as { readonly plan?: { readonly file?: unknown } };
    return typeof plan?.file === "string" ? plan.file : null;
  } catch {
    return null;
  }
}

/** `planName`: what the job calls its plan, where one is known. Of several plans that one counts: a run folder holds other .csv files, too. */
export function pickFiles(files: readonly ChosenFile[], planName: string | null): Picked {
  const jobs = files.filter((file) => /\.json$/i.test(nameOf(file))), plans = files.filter((file) => /\.(csv|gcode)$/i.test(nameOf(file)));
  const job = jobs.find((file) => nameOf(file) === "job.json") ?? (jobs.length === 1 ? jobs[0] ?? null : null);
  const plan = plans.find((file) => nameOf(file) === planName) ?? (plans.length === 1 ? plans[0] ?? null : null);
  const names = files.slice(0, 3).map(nameOf).join(", ");
  const oddWords = files.length === 0 ? "There is no file in it." : job === null && plan === null
    ? `Neither a job (.json) nor one plan (.csv or .gcode${planName === null ? "" : `, ${planName}`}) is among ${names}${files.length > 3 ? " and others" : ""}.` : null;
  return { job, plan, oddWords };
}
