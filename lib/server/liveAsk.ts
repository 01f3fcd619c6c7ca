/** What a person asks on the page of a run that lives: of its cell, or that the run be ended. */
import { z } from "zod";
import type { CellAsk } from "../model/liveSheet.ts";
import type { CommandBody } from "../model/wire.ts";
import { readJson } from "./personInput.ts";
import { badValue, cleanActor, cleanText, requirePlace } from "./personText.ts";
import { requireHub } from "./liveStream.ts";
import { sharedStore } from "./settings.ts";

/** Who stands in the log for what is asked on a page without a name. */
export const SCREEN_ACTOR = "screen";
const ASKED_WORDS = "asked on the screen";
const REASON_MAX_CHARS = 500;

const ask = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("pause"), at: z.enum(["now", "strandEnd", "layerEnd"]) }), z.object({ kind: z.literal("abort") }),
  z.object({ kind: z.literal("resume"), layer: z.number(), strand: z.number(), sMm: z.number(), overlapMm: z.number() }),
]);
const ending = z.object({ actor: z.string(), reason: z.string() });

/** InputError upload.badRequest, source.tooLarge. */
export const readAsk = (request: Request): Promise<CellAsk> => readJson(request, ask);
/** InputError upload.badRequest, source.tooLarge. */
export const readEnding = (request: Request): Promise<z.output<typeof ending>> => readJson(request, ending);

function resumeBody(runId: string, { layer, strand, sMm, overlapMm }: Extract<CellAsk, { kind: "resume" }>): CommandBody {
  const lengthMm = requirePlace(sharedStore(), runId, { layer, strand, sMm });
  if (!(overlapMm >= 0 && overlapMm <= lengthMm)) badValue("overlapMm", `0 to ${lengthMm} mm`, `${overlapMm}`);
  return { kind: "resume", layer, strand, sMm, overlapMm, rows: [] };
}

/** Asks the cell; the command's number. InputError store.noRun, wire.over, log.badValue. */
export function askCell(runId: string, asked: CellAsk): { readonly n: number } {
  const hub = requireHub();
  switch (asked.kind) {
    case "pause": return { n: hub.ask(runId, { kind: "pause", at: asked.at, retractMm: 0, reason: ASKED_WORDS }, SCREEN_ACTOR) };
    case "abort": return { n: hub.ask(runId, { kind: "abort", reason: ASKED_WORDS }, SCREEN_ACTOR) };
    case "resume": return { n: hub.ask(runId, resumeBody(runId, asked), SCREEN_ACTOR) };
  }
}

/** Ends a run whose cell does not; resolves once its result is written. InputError store.noRun, log.badValue. */
export async function endRun(runId: string, { actor, reason }: { readonly actor: string; readonly reason: string }): Promise<{ readonly runId: string }> {
  await requireHub().finish(runId, { actor: cleanActor(actor), reason: cleanText(reason, { key: "reason", least: 1, most: REASON_MAX_CHARS }) });
  return { runId };
}
