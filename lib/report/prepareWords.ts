/** The sentence that a prepared run opens with, and what is known of its devices. */
import type { Device, Job } from "../model/job.ts";
import type { DeviceLine, PlanChecks } from "../model/prepare.ts";
import type { DiskForecast } from "./diskForecast.ts";
import { ageWords } from "./liveSentence.ts";
import { counted, wholeNumber } from "./words.ts";

/** A token that counts: `device` null speaks for all devices of a run. */
export interface TokenUse { readonly name: string; readonly device: string | null; readonly lastUsedAt: string | null }

const KIND_WORDS: Readonly<Record<Device["kind"], string>> = { profiler: "profiler", camera: "camera", tracker: "tracker", arm: "arm" };

function heardWords(lastUsedAt: string | null, nowMs: number): string {
  return lastUsedAt === null ? "never heard" : `heard ${ageWords(Math.max(0, (nowMs - Date.parse(lastUsedAt)) / 1000))} ago`;
}

/** Every device of the job with the tokens that may speak for it; `nowMs` Unix time. The time of last use is kept to a minute. */
export function deviceLines({ devices }: Pick<Job, "devices">, tokens: readonly TokenUse[], nowMs: number): DeviceLine[] {
  return devices.map(({ id, kind }) => ({
    id, kind: KIND_WORDS[kind],
    tokens: tokens.filter(({ device }) => device === null || device === id).map(({ name, device, lastUsedAt }) => ({ name: device === null ? `${name} (all devices)` : name, heard: heardWords(lastUsedAt, nowMs) })),
  }));
}

/** What stands against arming; nothing of it forbids it. */
export function prepareSentence({ actCount, stationCount }: Pick<PlanChecks, "actCount" | "stationCount">, disk: Pick<DiskForecast, "isEnough">, devices: readonly DeviceLine[]): { readonly headline: string; readonly detail: string } {
  const mute = devices.filter(({ tokens }) => tokens.length === 0).length;
  const against = [
    ...(actCount === 0 ? [] : [`the plan has ${counted(actCount, "act item")}`]), ...(disk.isEnough ? [] : ["the disk is too small"]),
    ...(mute === 0 ? [] : [`${counted(mute, "device")} ${mute === 1 ? "has" : "have"} no token`]),
  ];
  return {
    headline: against.length === 0 ? "Ready to be armed: nothing stands against it." : `Ready to be armed, but ${against.length < 2 ? against.join("") : `${against.slice(0, -1).join(", ")} and ${against.at(-1)}`}.`,
    detail: `${wholeNumber(stationCount)} stations will be measured. Arming makes the run; the print begins when the cell sends its first data.`,
  };
}
