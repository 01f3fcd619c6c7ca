/** Numbers and counts in words, as every page and report writes them. */

const SMALL = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"] as const;

/** "no act findings", "one act finding", "three act findings", "17 act findings"; `noun` in the singular. */
export function counted(count: number, noun: string, plural = `${noun}s`): string {
  return `${SMALL[count] ?? String(count)} ${count === 1 ? noun : plural}`;
}

/** "three strands" → "Three strands": the beginning of a sentence. */
export function capital(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}

/** 0.9623 → "96.2 %", which no line break parts. What is short of the whole never reads as 100.0 %, and what is not nothing never as 0.0 %. */
export function percent(fraction: number, digits = 1): string {
  const least = 10 ** -digits;
  const value = fraction * 100;
  const shown = fraction < 1 && value > 100 - least ? 100 - least : fraction > 0 && value < least ? least : value;
  return `${shown.toFixed(digits)}\u00a0%`;
}

/** 0.95 → "95 %", 0.985 → "98.5 %": a limit as somebody wrote it. */
export function percentAsked(fraction: number): string {
  return `${Number((fraction * 100).toFixed(3))}\u00a0%`;
}

/** "3 strands" style for numbers that are read, not spoken: 1 284 with a thin space. */
export function wholeNumber(value: number): string {
  return String(value).replace(/\B(?=(\d{3})+(?!\d))/g, "\u2009");
}

/** "4.2 s", "31 s", "3 min 20 s". */
export function secondsWords(s: number): string {
  if (s < 10) return `${s.toFixed(1)}\u00a0s`;
  const whole = Math.round(s);
  return whole < 120 ? `${whole}\u00a0s` : `${wholeNumber(Math.floor(whole / 60))}\u00a0min ${whole % 60}\u00a0s`;
}

/** "2026-02-03 09:12:00" of ISO 8601 in UTC. */
export function dateTime(iso: string): string {
  return `${iso.slice(0, 10)} ${iso.slice(11, 19)}`;
}

/** "09:12:00", "09:12:00.4" of ISO 8601 in UTC. */
export function timeOfDay(iso: string, decimals: 0 | 1 = 0): string {
  return iso.slice(11, decimals === 0 ? 19 : 21);
}
