/** How alerts came over a run: count, peak and flood, by the benchmarks of ISA-18.2 / IEC 62682 for process plants. Reported and not judged: a print is far shorter. */
import { ALERT_PRIORITIES, type AlertPriority, type AlertRates } from "../model/alert.ts";

const WINDOW_MS = 600_000;
/** More than this many in a window begin a flood; fewer than this end it (from memory). */
const FLOOD_OVER = 10, FLOOD_ENDS_BELOW = 5;

/** `raised`: when each came, in order, unix ms, with its priority; `fromMs`, `toMs`: the run's span. */
export function alertRates(raised: readonly { readonly ms: number; readonly priority: AlertPriority }[], fromMs: number, toMs: number): AlertRates {
  const times = raised.map(({ ms }) => ms), spanMs = Math.max(0, toMs - fromMs);
  let peak = 0, floodMs = 0, floodFromMs = Number.NaN;
  const inWindow = (atMs: number): number => times.filter((ms) => ms > atMs - WINDOW_MS && ms <= atMs).length;
  // the count changes where an alert comes and where one leaves the window
  for (const atMs of [...times, ...times.map((ms) => ms + WINDOW_MS)].filter((ms) => ms <= toMs).sort((a, b) => a - b)) {
    const count = inWindow(atMs);
    peak = Math.max(peak, count);
    if (Number.isNaN(floodFromMs) && count > FLOOD_OVER) floodFromMs = atMs;
    else if (!Number.isNaN(floodFromMs) && count < FLOOD_ENDS_BELOW) {
      floodMs += atMs - floodFromMs;
      floodFromMs = Number.NaN;
    }
  }
  if (!Number.isNaN(floodFromMs)) floodMs += Math.max(0, toMs - floodFromMs);
  const byPriority = Object.fromEntries(ALERT_PRIORITIES.map((each) => [each, raised.filter(({ priority }) => priority === each).length])) as Record<AlertPriority, number>;
  return { count: raised.length, byPriority, peakPer10Min: peak, floodFraction: spanMs === 0 ? 0 : floodMs / spanMs };
}
