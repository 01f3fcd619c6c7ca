/** What was planned and what was laid: length, volume, strands, time. */
import type { ReportSection, ReportTable } from "../../model/report.ts";
import type { StationResult } from "../../model/result.ts";
import { capital, counted, percent, wholeNumber } from "../words.ts";
import { byStrand, layersOf, shares, type BodyInput } from "./bodyInput.ts";

interface Amounts { strands: number; begun: number; stations: number; laid: number; measured: number; plannedMm: number; laidMm: number; measuredMm: number; inBandMm: number; plannedMm3: number; measuredMm3: number }

function amountsOf(stations: readonly StationResult[]): Amounts {
  const sum: Amounts = { strands: 0, begun: 0, stations: 0, laid: 0, measured: 0, plannedMm: 0, laidMm: 0, measuredMm: 0, inBandMm: 0, plannedMm3: 0, measuredMm3: 0 };
  for (const strand of byStrand(stations)) {
    const lengths = shares(strand);
    sum.strands++;
    if (strand.some((at) => at.laid)) sum.begun++;
    strand.forEach((at, i) => {
      const mm = lengths[i] as number;
      sum.stations++;
      sum.plannedMm += mm;
      if (at.laid) [sum.laid, sum.laidMm] = [sum.laid + 1, sum.laidMm + mm];
      if (at.verdict === "inBand") sum.inBandMm += mm;
      if (at.measured === null) return;
      sum.measured++;
      sum.measuredMm += mm;
      sum.plannedMm3 += at.planned.areaMm2 * mm;
      sum.measuredMm3 += at.measured.areaMm2 * mm;
    });
  }
  return sum;
}

const share = (part: number, whole: number): string => (whole > 0 ? percent(part / whole) : "–");
const ratio = (measured: number, planned: number): string => (planned > 0 ? (measured / planned).toFixed(3) : "–");

function layerTable(input: BodyInput): ReportTable {
  const rows = layersOf(input.stations).map((layer) => {
    const of = amountsOf(input.stations.filter((at) => at.layer === layer)), acts = input.findings.filter((finding) => finding.layer === layer && finding.severity === "act").length;
    const watches = input.findings.filter((finding) => finding.layer === layer && finding.severity === "watch").length;
    return [
      String(layer), `${of.begun} of ${of.strands}`, of.plannedMm.toFixed(1), of.laidMm.toFixed(1), share(of.measuredMm, of.laidMm), share(of.inBandMm, of.laidMm),
      of.plannedMm3.toFixed(2), of.measuredMm3.toFixed(2), ratio(of.measuredMm3, of.plannedMm3), String(acts), String(watches),
    ];
  });
  const titles = ["layer", "strands begun", "planned, mm", "laid, mm", "measured of laid", "in band of laid", "planned there, mm³", "measured, mm³", "ratio", "act findings", "watch findings"];
  return { caption: "Layer by layer; volumes are seen from above, over measured stations alone", columns: titles.map((title, i) => ({ title, isNumber: i !== 1 })), rows };
}

/** Between the middles of the first and the last strand, s; null without progress. */
function layingWords({ means }: BodyInput): string {
  const times = means.flatMap(({ laidS }) => (laidS === null ? [] : [laidS]));
  if (times.length < 2) return "not known: no progress came with it";
  return `${(Math.max(...times) - Math.min(...times)).toFixed(1)} s from the middle of the first strand to the middle of the last`;
}

function plannedTimeWords({ plan }: BodyInput): string {
  if (plan === null) return "not known";
  let seconds = 0;
  for (const { arcMm, speedMmS, pointCount } of plan.strands) for (let i = 1; i < pointCount; i++) seconds += ((arcMm[i] as number) - (arcMm[i - 1] as number)) / (speedMmS[i - 1] as number);
  return `${seconds.toFixed(1)} s of laying alone, at the planned speeds`;
}

export function amountsSection(input: BodyInput): ReportSection {
  const of = amountsOf(input.stations), change = of.plannedMm3 > 0 ? of.measuredMm3 / of.plannedMm3 - 1 : null;
  return {
    id: "amounts", title: "Planned and laid",
    blocks: [
      { kind: "words", text: `${capital(counted(of.begun, "strand"))} of ${of.strands} begun; ${of.laidMm.toFixed(1)} of ${of.plannedMm.toFixed(1)} mm laid. ${change === null ? "Nothing was measured." : `Over what was measured, the volume seen from above is ${percent(Math.abs(change))} ${change < 0 ? "less" : "more"} than planned.`}` },
      { kind: "facts", facts: [
        { name: "stations", value: `${wholeNumber(of.measured)} measured of ${wholeNumber(of.laid)} laid, of ${wholeNumber(of.stations)} planned` },
        { name: "length in band", value: `${of.inBandMm.toFixed(1)} mm, ${share(of.inBandMm, of.laidMm)} of the laid length` },
        { name: "volume seen from above", value: `${of.measuredMm3.toFixed(2)} mm³ where ${of.plannedMm3.toFixed(2)} mm³ were planned` },
        { name: "time planned", value: plannedTimeWords(input) }, { name: "time laid", value: layingWords(input) },
      ] },
      { kind: "table", table: layerTable(input) },
      { kind: "caution", text: "A sensor that looks along the normal does not see a bead’s undercut: planned and measured volumes are both what can be seen from above, and are compared as such. They are not the volume of paste that left the nozzle." },
    ],
  };
}
