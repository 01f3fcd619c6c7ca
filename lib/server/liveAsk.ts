/** What a person asks on the page of a run that lives: of its cell, or that the run be ended. */
import { z } from "zod";
import type { CellAsk } from "../model/liveSheet.ts";
import { END_REASONS, END_WORDS_MAX_CHARS, OTHER_END_REASON } from "../model/endReason.ts";
import { requirePerson, screenActor, type Asking } from "./people/actor.ts";
import { readJson } from "./personInput.ts";
import { cleanText } from "./personText.ts";
import { requireHub } from "./liveStream.ts";
import { resumeBody } from "./resumeBody.ts";

const ASKED_WORDS = "asked on the screen";

const ask = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("pause"), at: z.enum(["now", "strandEnd", "layerEnd"]) }), z.object({ kind: z.literal("abort") }),
  z.object({ kind: z.literal("resume"), layer: z.number(), strand: z.number(), sMm: z.number(), overlapMm: z.number() }),
]);
const ending = z.object({ reason: z.enum(END_REASONS.map(({ code }) => code)), words: z.string() });

/** InputError upload.badRequest, source.tooLarge. */
export const readAsk = (request: Request): Promise<CellAsk> => readJson(request, ask);
/** InputError upload.badRequest, source.tooLarge. */
export const readEnding = (request: Request): Promise<z.output<typeof ending>> => readJson(request, ending);

/** Asks the cell; the command's number. A pause and an abort never ask who it is. InputError store.noRun, wire.over; for a resume log.badValue, control.gateHolds, people.signIn, people.role as well. */
export async function askCell(runId: string, asked: CellAsk, request: Asking): Promise<{ readonly n: number }> {
  const hub = requireHub();
  switch (asked.kind) {
    case "pause": return { n: hub.ask(runId, { kind: "pause", at: asked.at, retractMm: 0, reason: ASKED_WORDS }, screenActor(request)) };
    case "abort": return { n: hub.ask(runId, { kind: "abort", reason: ASKED_WORDS }, screenActor(request)) };
    case "resume": {
      const { name } = requirePerson(request, "resume");
      return { n: hub.ask(runId, await resumeBody(runId, asked), name) };
    }
  }
}

/** Ends a run whose cell does not; resolves once its result is written. InputError store.noRun, log.badValue. */
export async function endRun(runId: string, { reason, words }: z.output<typeof ending>, actor: string): Promise<{ readonly runId: string }> {
  const picked = END_REASONS.find(({ code }) => code === reason)?.label ?? reason;
  await requireHub().finish(runId, { actor, reason: reason === OTHER_END_REASON ? cleanText(words, { key: "words", least: 1, most: END_WORDS_MAX_CHARS }) : picked });
  return { runId };
}
