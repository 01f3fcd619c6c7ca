/** A run's report on paper, to be taken along. */
import { InputError } from "../base/errors.ts";
import type { SignedIn } from "../model/person.ts";
import type { Report } from "../model/report.ts";
import { look } from "./look/sharedLook.ts";
import { picturesOf } from "./pictures.ts";
import { readReport } from "./readReport.ts";
import { rootFolder } from "./settings.ts";

const MOST_NAME = 60;

/** "angle-block-12-report-2026-02-04.pdf": letters, figures and hyphens alone, whatever the run is called. */
export function reportFileName({ name, madeAt }: Pick<Report["head"], "name" | "madeAt">): string {
  const plain = name.normalize("NFKD").toLowerCase().replaceAll(/[\u0300-\u036f]/g, "").replaceAll(/[^a-z0-9]+/g, "-").slice(0, MOST_NAME).replaceAll(/^-+|-+$/g, "");
  return `${plain === "" ? "run" : plain}-report-${madeAt.slice(0, 10)}.pdf`;
}

let before: Promise<unknown> = Promise.resolve();

/** One after another: a report of 500 sheets takes most of a gigabyte while it is made. */
function inTurn<T>(work: () => Promise<T>): Promise<T> {
  const mine = before.then(work);
  before = mine.catch(() => undefined);
  return mine;
}

/** A report for paper, made in a thread of its own where the server runs. InputError source.stopped once the signal has come. */
export function makeReportPdf(report: Report, signal?: AbortSignal): Promise<Uint8Array<ArrayBuffer>> {
  return inTurn(async () => {
    if (signal?.aborted === true) throw new InputError("source.stopped", "a report that is waited for", "one that was given up", {});
    return look({ op: "paper", report, pictures: await picturesOf(report), rootFolder: rootFolder() }, signal);
  });
}

/** `reader`: who takes it along. InputError store.noRun where there is no such run or result; source.stopped once the signal has come. */
export async function readReportPdf(runId: string, resultId: string | null, reader: SignedIn | null, signal?: AbortSignal): Promise<Response> {
  const report = await readReport(runId, resultId, reader);
  if (report === null) throw new InputError("store.noRun", "a run that is kept, and one of its results", JSON.stringify([runId, ...(resultId === null ? [] : [resultId])].join(" ").slice(0, 90)), {});
  const bytes = await makeReportPdf(report, signal);
  return new Response(bytes, { headers: {
    "Content-Type": "application/pdf", "Content-Length": String(bytes.length), "Content-Disposition": `attachment; filename="${reportFileName(report.head)}"`, "Cache-Control": "no-store",
  } });
}
