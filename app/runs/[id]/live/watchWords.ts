/** Short words of the live page: clocks, ages, and what is worth being read out. */
import type { HeardLine, PasteClock } from "../../../../lib/model/liveSheet.ts";

/** "2:36", "1:02:05", "−0:12": a clock that counts down, in whole seconds; what has begun still counts. */
export function clockWords(leftS: number): string {
  const whole = Math.abs(leftS < 0 ? Math.floor(leftS) : Math.ceil(leftS)), hours = Math.floor(whole / 3600), minutes = Math.floor((whole % 3600) / 60), seconds = whole % 60;
  const two = (n: number): string => `${n}`.padStart(2, "0");
  return `${leftS < 0 && whole > 0 ? "−" : ""}${hours > 0 ? `${hours}:${two(minutes)}` : minutes}:${two(seconds)}`;
}

/** "0.4 s", "42 s", "3:20". */
export function agoWords(agoS: number): string {
  if (agoS < 9.95) return `${Math.max(0, agoS).toFixed(1)} s`;
  return agoS < 119.5 ? `${agoS.toFixed(0)} s` : clockWords(agoS);
}

/** "profiler 0.4 s"; "profiler silent for 12 s"; "cell not heard". */
export function heardWords({ name, agoS, isSilent }: HeardLine): string {
  if (agoS === null) return `${name} not heard`;
  return isSilent ? `${name} silent for ${agoWords(agoS)}` : `${name} ${agoWords(agoS)}`;
}

export interface PasteWords { readonly label: string; readonly clock: string; readonly toPrint: string; readonly isShort: boolean }

/** `sinceS`: how long ago the clock was heard. */
export function pasteWords({ leftS, toPrintS }: PasteClock, sinceS: number): PasteWords {
  const left = leftS - sinceS, isShort = left < 0 || (toPrintS !== null && toPrintS > left);
  const need = toPrintS === null ? "left to print: not known yet" : `left to print ${clockWords(toPrintS)}`;
  const short = toPrintS !== null && toPrintS > 0 && left >= 0 && toPrintS > left ? `: ${clockWords(toPrintS - left)} short` : "";
  return { label: left < 0 ? "Past its working time by" : "Paste works for", clock: clockWords(Math.abs(left)), toPrint: `${need}${short}`, isShort };
}

/** What is news in a sentence: ages that only grow are none. */
export function newsOf(words: string): string {
  return words.replace(/\d+(?:\.\d+)? (?:s|min|h|days)\b/g, "…");
}
