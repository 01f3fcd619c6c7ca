/** The worst value of a finding with its standard uncertainty and the limit it went beyond, in words. */
import type { Finding, Metric, StationResult } from "../model/result.ts";
import { percent } from "./words.ts";

/** "+0.23", "−0.05": a deviation always shows its sign, with a true minus. */
export function signed(value: number, digits = 2): string {
  const text = Math.abs(value).toFixed(digits);
  return `${value < 0 && Number(text) !== 0 ? "−" : "+"}${text}`;
}

/** A difference with its sign; what does not differ at all is "0". */
export function difference(value: number, digits: number): string {
  return value === 0 ? "0" : signed(value, digits);
}

/** Decimals that a value deserves by its uncertainty: hundredths, thousandths where u is under 0.005. */
function digitsFor(u: number | null): number {
  return u !== null && u < 0.005 ? 3 : 2;
}

/** "0.70", "−0.01": noise may put a ratio below nought, and it is shown so. */
function trueMinus(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

/** " ± 0.02"; "" where no uncertainty is known. */
function plusMinus(u: number | null): string {
  return u === null ? "" : `\u00a0±\u00a0${u.toFixed(digitsFor(u))}`;
}

/** "0.98 ± 0.02", "−0.034 ± 0.004"; "–" where nothing was measured. */
export function withU(value: number | null, u: number | null): string {
  return value === null ? "–" : `${trueMinus(value, digitsFor(u))}${plusMinus(u)}`;
}

/** "0.34 left of travel": lateral is left where it is positive. */
function sideways(valueMm: number, signedMm: number | null, u: number | null): string {
  const side = signedMm === null || signedMm === 0 ? "off its path" : signedMm > 0 ? "left" : "right";
  return `${Math.abs(valueMm).toFixed(digitsFor(u))}${plusMinus(u)} mm ${side}`;
}

function metricWords(metric: Metric, value: number, station: StationResult | null): string {
  const u = station?.u ?? null;
  const deviation = (name: string, own: number | null): string => `${name} ${signed(value, digitsFor(own))}${plusMinus(own)} mm`;
  switch (metric) {
    case "areaRatio": {
      const own = u === null || station === null ? null : u.areaMm2 / station.planned.areaMm2;
      return `area ratio ${trueMinus(value, digitsFor(own))}${plusMinus(own)}`;
    }
    case "widthMm": return deviation("width", u?.widthMm ?? null);
    case "heightMm": return deviation("height", u?.heightMm ?? null);
    case "offsetMm": return sideways(value, station?.measured?.offsetMm ?? null, u?.offsetMm ?? null);
  }
}

/** Value and limit of a finding; `station` is the worst one, null for bodies off the path. */
export function valueWords(finding: Finding, station: StationResult | null): { value: string; limit: string } {
  if (!("worst" in finding)) return { value: `${finding.areaMm2.toFixed(2)} mm² filled`, limit: "" };
  const { metric, value, limit } = finding.worst;
  if (finding.kind === "nozzleHang") return { value: `${finding.areaMm2.toFixed(2)} mm² seen on the nozzle`, limit: `limit ${limit.toFixed(2)} mm²` };
  if (metric === "areaMm2") return { value: `${value.toFixed(2)} mm² seen from above`, limit: `limit ${limit.toFixed(2)} mm²` };
  if (metric === "coverage") return { value: value === null ? "no reading" : `coverage ${value.toFixed(2)}`, limit: `limit ${limit.toFixed(2)}` };
  if (value === null) return { value: "no reading", limit: "" };
  if (metric === "pasteFraction") return { value: `paste over ${percent(value, 0)} of the planned width`, limit: `limit ${percent(limit, 0)}` };
  if (metric === "poseErrorMm") return { value: `${value.toFixed(1)} mm off`, limit: `limit ${limit.toFixed(1)} mm` };
  const words = metricWords(metric, value, station);
  if (metric === "areaRatio") return { value: words, limit: `limit ${limit.toFixed(2)}` };
  return { value: words, limit: `limit ${metric === "offsetMm" ? Math.abs(limit).toFixed(2) : signed(limit)} mm` };
}
