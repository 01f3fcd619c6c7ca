/** Sums of one true section: area inside the window, and the strand's own bead followed to its flanks. */

/** Samples from right to left. "own": paste of the station's strand; "other": other paste of the layer; "ground": what the layer lies on. */
export interface Section {
  readonly bMm: number[];
  readonly thickMm: number[];
  readonly kind: ("own" | "other" | "ground")[];
  /** The support is a hollow there. */
  readonly hollow: boolean[];
}
export interface SectionLimits { readonly rightMm: number; readonly leftMm: number; readonly lowMm: number; readonly highMm: number; readonly widthMm: number }
export interface SectionSums { readonly widthMm: number | null; readonly heightMm: number; readonly areaMm2: number; readonly offsetMm: number | null; readonly support: "measured" | "spanned" }

/** ∫ thickness db and ∫ b·thickness db between two lateral places that are samples (trapezoids). */
function integrate(section: Section, fromMm: number, toMm: number): [number, number] {
  let area = 0, moment = 0;
  for (let i = 1; i < section.bMm.length; i++) {
    const a = section.bMm[i - 1] as number, b = section.bMm[i] as number;
    if (a < fromMm - 1e-12 || b > toMm + 1e-12) continue;
    const strip = ((section.thickMm[i - 1] as number) + (section.thickMm[i] as number)) / 2 * (b - a);
    area += strip;
    moment += strip * (a + b) / 2;
  }
  return [area, moment];
}

/** First and last sample of the run of own paste that lies nearest to the planned place (another leg of the strand may be in view); null where none comes within 1.5 widths. */
function ownSpan(section: Section, widthMm: number): [number, number] | null {
  let best: [number, number] | null = null, bestMm = 1.5 * widthMm;
  for (let i = 0; i < section.kind.length; i++) {
    if (section.kind[i] !== "own") continue;
    let end = i;
    while (section.kind[end + 1] === "own") end++;
    const from = section.bMm[i] as number, to = section.bMm[end] as number, awayMm = from > 0 ? from : to < 0 ? -to : 0;
    if (awayMm < bestMm) {
      best = [i, end];
      bestMm = awayMm;
    }
    i = end;
  }
  return best;
}

/** Contract: width and offset are null where a neighbour touches or the flank lies beyond what may be followed. */
export function summarise(section: Section, limits: SectionLimits): SectionSums {
  const [areaMm2] = integrate(section, limits.rightMm, limits.leftMm);
  const own = ownSpan(section, limits.widthMm), last = section.bMm.length - 1;
  let widthMm: number | null = null, offsetMm: number | null = null, middle = 0, width = limits.widthMm;
  if (own !== null && own[0] > 0 && own[1] < last && section.kind[own[0] - 1] === "ground" && section.kind[own[1] + 1] === "ground") {
    const from = section.bMm[own[0]] as number, to = section.bMm[own[1]] as number;
    widthMm = to - from;
    const [area, moment] = integrate(section, from, to);
    if (area > 0) offsetMm = moment / area;
    middle = (from + to) / 2;
    width = widthMm;
  }
  let heightMm = 0, hollowMm = 0;
  for (let i = 0; i <= last; i++) {
    const b = section.bMm[i] as number;
    if (Math.abs(b - middle) <= 0.3 * width + 1e-9 && section.kind[i] !== "ground") heightMm = Math.max(heightMm, section.thickMm[i] as number);
    if (i > 0 && section.hollow[i] === true && section.hollow[i - 1] === true && Math.abs(b) <= limits.widthMm / 2) hollowMm += b - (section.bMm[i - 1] as number);
  }
  return { widthMm, heightMm, areaMm2, offsetMm, support: hollowMm > limits.widthMm / 2 ? "spanned" : "measured" };
}
