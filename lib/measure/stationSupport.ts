import { FRAME_LENGTH } from "../kernel/path.ts";
import type { Chart } from "./chart.ts";
import { HOLLOW, PLANNED, SEEN } from "./rowSupport.ts";
import { EMPTY, LEVEL_DOUBT, MOMENT_DOUBT, PASS_LENGTH, type Sections } from "./section.ts";
import { HOLLOW_SHARE } from "./settings.ts";
import { SupportSolver } from "./supportSolver.ts";

/** Places along the strand that the support is looked at about a station, as shares of how far its own place is in doubt. */
const PLACES = [-1, -0.5, 0, 0.5, 1];
const levels = new Float64Array(PLACES.length); // ∫ level db, mm²
const moments = new Float64Array(PLACES.length); // ∫ level · b db, mm³
const solver = new SupportSolver();
const place = { frame: new Float64Array(FRAME_LENGTH), kn: 0, kg: 0, tau: 0, heightMm: 0 };

/**
 * Counts the thickness of a bead at a station from the support under the station itself: beside a flank beneath, support turns into
 * hollow within hundredths of a millimetre, and what two profiles stand on says little of it. A map knows a step's place to half a cell
 * and, as steep as a flank is where the hollow begins, to a sample's noise: the mean over that stretch counts, its spread is doubt.
 */
export function standOnSupport(s: Sections, station: number, on: { chart: Chart; support: Float32Array }): void {
  const { grid, strand } = s;
  placeAt(s, station);
  solver.aim(place, on.chart, on.support);
  const deepest = -HOLLOW_SHARE * place.heightMm;
  const record = PASS_LENGTH * station;
  const reach = Math.hypot(on.chart.cellMm / 2, s.pass[record + 2] as number);
  // beyond an end the support may fall off: it is looked at from inside
  const sMm = strand.sMm[station] as number, { cellMm } = on.chart;
  const first = strand.path.closed ? -reach : cellMm - sMm, last = strand.path.closed ? reach : strand.lengthMm - cellMm - sMm;
  levels.fill(0);
  moments.fill(0);
  let length = 0, guess = 0;
  for (let k = 0; k < grid.count; k++) {
    const c = station * grid.count + k, onMm = s.onMm[c] as number;
    if (s.tag[c] === EMPTY || s.kind[c] === PLANNED || !(onMm > 0)) continue;
    const b = grid.first + (k + 0.5) * grid.cellMm;
    let known = 0, hollow = 0, sum = 0;
    for (let j = 0; j < PLACES.length; j++) {
      const n = solver.height(b, Math.min(last, Math.max(first, (PLACES[j] as number) * reach)), guess);
      if (n !== n) continue;
      guess = n;
      known++;
      if (n < deepest) { hollow++; continue; } // the planned base counts: 0
      sum += n;
      levels[j] = (levels[j] as number) + onMm * n;
      moments[j] = (moments[j] as number) + onMm * n * b;
    }
    if (known === 0) continue;
    length += onMm;
    s.areaMm2[c] = (s.areaMm2[c] as number) + (s.restMm2[c] as number) - onMm * sum / known;
    s.kind[c] = 2 * hollow > known ? HOLLOW : SEEN;
  }
  s.pass[record + LEVEL_DOUBT] = length > 0 ? spread(levels) / length : 0;
  s.pass[record + MOMENT_DOUBT] = spread(moments);
}

function placeAt({ strand }: Sections, station: number): void {
  place.frame.set(strand.frames.subarray(FRAME_LENGTH * station, FRAME_LENGTH * (station + 1)));
  place.heightMm = strand.heightMm[station] as number;
  place.kn = strand.turn[3 * station] as number;
  place.kg = strand.turn[3 * station + 1] as number;
  place.tau = strand.turn[3 * station + 2] as number;
}

/** Standard deviation of what was found at the places looked at. */
function spread(values: Float64Array): number {
  let sum = 0, squares = 0;
  for (const v of values) { sum += v; squares += v * v; }
  const mean = sum / values.length;
  return Math.sqrt(Math.max(0, squares / values.length - mean * mean));
}
