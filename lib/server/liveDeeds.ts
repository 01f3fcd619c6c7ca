/** What a person does on the page of a run that lives beside asking its cell: about alerts, stretches taken off, the gate, automatic pauses; and the section of a station. */
import { z } from "zod";
import { snapStretch } from "../control/rework.ts";
import { DISPOSITIONS, DISPOSITION_REASONS } from "../model/disposition.ts";
import type { AlertDeed, CellAsk, PasteMark } from "../model/liveSheet.ts";
import { GATE_REASONS, NOTE_MAX_CHARS, SHELF_REASONS, TAKEN_OFF_REASONS } from "../model/reason.ts";
import type { StationDetail } from "../model/stationDetail.ts";
import { keepPasteMark, keepTakenOff } from "./live/personRows.ts";
import { requireHub } from "./liveStream.ts";
import { PICKED, readJson } from "./personInput.ts";
import { badValue, cleanText, reasonText, requirePlace, requireReason } from "./personText.ts";
import { wholeNumberOf } from "./stationDetail.ts";
import { planStationsOf } from "./liveSheet.ts";
import { sharedStore } from "./settings.ts";

const n = z.int().min(1);
const alertDeed = z.discriminatedUnion("do", [
  z.object({ do: z.literal("acknowledge"), n }), z.object({ do: z.literal("unshelve"), n }), z.object({ do: z.literal("note"), n, note: z.string() }),
  z.object({ do: z.literal("shelve"), n, forS: z.number(), ...PICKED }),
  z.object({ do: z.literal("dispose"), n, disposition: z.enum(DISPOSITIONS), ...PICKED }),
]);
const takenOff = z.object({ layer: z.int(), strand: z.int(), fromMm: z.number(), toMm: z.number(), ...PICKED });
const pasteMark = z.object({ device: z.string(), file: z.string(), u0Px: z.number(), v0Px: z.number(), u1Px: z.number(), v1Px: z.number() });
const gateOpening = z.object({ layer: z.int(), ...PICKED });

/** InputError upload.badRequest, source.tooLarge; so with the others that read. */
export const readAlertDeed = (request: Request): Promise<AlertDeed> => readJson(request, alertDeed);
export const readTakenOff = (request: Request): Promise<z.output<typeof takenOff>> => readJson(request, takenOff);
export const readPasteMark = (request: Request): Promise<PasteMark> => readJson(request, pasteMark);
export const readAutoPause = (request: Request): Promise<{ isOn: boolean }> => readJson(request, z.object({ isOn: z.boolean() }));
export const readGateOpening = (request: Request): Promise<z.output<typeof gateOpening>> => readJson(request, gateOpening);

/** InputError store.noRun, alert.badDeed, log.badValue. */
export function doAlert(runId: string, deed: AlertDeed, by: string): { readonly n: number } {
  const { watch } = requireHub().open(runId);
  switch (deed.do) {
    case "acknowledge": case "unshelve": watch.deed({ ...deed, by }); break;
    case "note": watch.deed({ ...deed, by, note: cleanText(deed.note, { key: "note", least: 1, most: NOTE_MAX_CHARS }) }); break;
    case "shelve": watch.deed({ ...deed, by, note: requireReason(SHELF_REASONS, deed).note }); break;
    case "dispose": watch.deed({ ...deed, by, note: requireReason(DISPOSITION_REASONS[deed.disposition], deed).note }); break;
  }
  return { n: deed.n };
}

/** Marks a stretch as taken off, on whole stations; answers where it is to be laid again. InputError store.noRun, log.badValue, wire.over. */
export async function takeOff(runId: string, { layer, strand, fromMm, toMm, ...picked }: z.output<typeof takenOff>, by: string): Promise<{ readonly resume: Extract<CellAsk, { kind: "resume" }> }> {
  const hub = requireHub(), { policy } = hub.open(runId).job;
  requirePlace(sharedStore(), runId, { layer, strand, sMm: Math.max(0, Math.min(fromMm, toMm)) });
  const reason = reasonText(TAKEN_OFF_REASONS, picked);
  const stretch = snapStretch(await planStationsOf(runId, layer, strand), { fromMm, toMm });
  if (stretch === null) badValue("fromMm", "a stretch of the strand", `${fromMm} to ${toMm} mm`);
  await keepTakenOff(hub, runId, { layer, strand, ...stretch, reason }, by);
  return { resume: { kind: "resume", layer, strand, sMm: stretch.fromMm, overlapMm: policy.resume.overlapMm } };
}

/** Keeps a mark of paste with the run's data. InputError store.noRun, log.badValue, wire.over. */
export async function markPaste(runId: string, mark: PasteMark, by: string): Promise<PasteMark> {
  await keepPasteMark(requireHub(), runId, mark, by);
  return mark;
}

export function setAutoPause(runId: string, isOn: boolean, by: string): { readonly isOn: boolean } {
  requireHub().open(runId).watch.setAutoPause(isOn, by);
  return { isOn };
}

/** A person lets a layer be covered as it is. InputError log.badValue where nothing holds it. */
export function openGate(runId: string, { layer, ...picked }: z.output<typeof gateOpening>, by: string): { readonly layer: number } {
  const { watch } = requireHub().open(runId);
  if (!watch.gates.some((gate) => gate.layer === layer && gate.isHeld)) badValue("layer", "a layer that the gate holds", String(layer));
  watch.openGate(layer, reasonText(GATE_REASONS, picked), by);
  return { layer };
}

/** `query`: layer, strand and station as whole numbers. InputError upload.badRequest, store.noRun. */
export async function liveStationDetail(runId: string, query: URLSearchParams): Promise<StationDetail> {
  const [layer, strand, station] = (["layer", "strand", "station"] as const).map((key) => wholeNumberOf(query, key)) as [number, number, number];
  return { cut: await requireHub().open(runId).cutOf({ layer, strand, station }), attempts: [] };
}
