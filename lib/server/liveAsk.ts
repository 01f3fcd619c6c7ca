/** What a person asks on the page of a run that lives: of its cell, or that the run be ended. */
import { z } from "zod";
import type { CellAsk } from "../model/liveSheet.ts";
import { END_REASONS, type PickedReason } from "../model/reason.ts";
import { requirePerson, screenActor, type Asking } from "./people/actor.ts";
import { PICKED, readJson } from "./personInput.ts";
import { reasonText } from "./personText.ts";
import { requireHub } from "./liveStream.ts";
import { resumeBody } from "./resumeBody.ts";

const ASKED_WORDS = "asked on the screen";

const ask = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("pause"), at: z.enum(["now", "strandEnd", "layerEnd"]) }), z.object({ kind: z.literal("abort") }),
  z.object({ kind: z.literal("resume"), layer: z.number(), strand: z.number(), sMm: z.number(), overlapMm: z.number() }),
]);

/** InputError upload.badRequest, source.tooLarge. */
export const readAsk = (request: Request): Promise<CellAsk> => readJson(request, ask);
/** InputError upload.badRequest, source.tooLarge. */
export const readEnding = (request: Request): Promise<PickedReason> => readJson(request, z.object(PICKED));

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
export async function endRun(runId: string, picked: PickedReason, actor: string): Promise<{ readonly runId: string }> {
  await requireHub().finish(runId, { actor, reason: reasonText(END_REASONS, picked) });
  return { runId };
}
