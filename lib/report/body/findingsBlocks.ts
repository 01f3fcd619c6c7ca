/** Every finding of a result, worst first: a table of all, and each with its picture; what people decided is put to it when somebody asks. */
import { FINDING_MARKS, VERDICT_MARKS } from "../../model/marks.ts";
import type { Drawing, ReportBlock, ReportFinding, ReportSection } from "../../model/report.ts";
import type { Finding, StationResult } from "../../model/result.ts";
import type { SheetFinding } from "../../model/sheet.ts";
import type { FindingDisposition } from "../../model/disposition.ts";
import { DISPOSITION_LABELS, DISPOSITION_REASONS } from "../../model/disposition.ts";
import { CHOSEN_WIDTHS } from "../../formula/frameDrawing.ts";
import { frameCropDrawing } from "../draw/frameDrawing.ts";
import { sectionDrawing } from "../draw/sectionDrawing.ts";
import { COVERAGE_FACTOR, decimalsFor, withExpandedU } from "../uWords.ts";
import { capital, counted, dateTime } from "../words.ts";
import type { BodyInput } from "./bodyInput.ts";

/** Pictures of the worst; the table has every one. */
const MOST_PICTURES = 40;
const METRIC_WORDS = { areaRatio: "area ratio", widthMm: "width against plan, mm", heightMm: "height against plan, mm", offsetMm: "offset, mm", coverage: "coverage", areaMm2: "footprint, mm²", pasteFraction: "paste over the planned width, 0 to 1", poseErrorMm: "off its place, mm" } as const;

/** u of the worst station in the metric's own unit; null where the finding is a body, or nothing was measured. */
function uOf(finding: Finding, station: StationResult | null): number | null {
  if (station === null || station.u === null || !("worst" in finding)) return null;
  switch (finding.worst.metric) {
    case "areaRatio": return station.u.areaMm2 / station.planned.areaMm2;
    case "widthMm": return station.u.widthMm;
    case "heightMm": return station.u.heightMm;
    case "offsetMm": return station.u.offsetMm;
    default: return null;
  }
}

interface Placed { readonly finding: Finding; readonly shown: SheetFinding; /** The worst station and its place in the strand; null: off the path. */ readonly at: { readonly station: StationResult; readonly index: number } | null }

function valueAndLimit({ finding, at }: Placed): { readonly metric: string; readonly value: string; readonly limit: string } {
  if (!("worst" in finding)) return { metric: "filled, mm²", value: finding.areaMm2.toFixed(2), limit: "–" };
  const { metric, value, limit } = finding.worst, u = uOf(finding, at?.station ?? null), isDeviation = metric === "widthMm" || metric === "heightMm" || metric === "offsetMm";
  return { metric: finding.kind === "nozzleHang" ? "on the nozzle, mm²" : METRIC_WORDS[metric], value: withExpandedU(value, u, isDeviation), limit: (isDeviation && metric !== "offsetMm" && limit > 0 ? "+" : "") + limit.toFixed(decimalsFor(u === null ? null : COVERAGE_FACTOR * u)).replace("-", "−") };
}

const placeWords = ({ layer, whereWords, rangeWords }: SheetFinding): string => `layer ${layer}, ${whereWords}, ${rangeWords}`;

/** Stations by layer and strand, to find the worst one of a finding. */
function placer(stations: readonly StationResult[]): (shown: SheetFinding) => Placed["at"] {
  const strands = new Map<string, StationResult[]>();
  for (const station of stations) {
    const key = `${station.layer}/${station.strand}`, group = strands.get(key);
    if (group === undefined) strands.set(key, [station]);
    else group.push(station);
  }
  return ({ layer, strand, sMm }) => {
    const group = strands.get(`${layer}/${strand}`) ?? [];
    let best: Placed["at"] = null;
    group.forEach((station, index) => { if (best === null || Math.abs(station.sMm - sMm) < Math.abs(best.station.sMm - sMm)) best = { station, index }; });
    return best;
  };
}

function pictureOf({ shown, at }: Placed, { sheet: { beadShape }, cutAt }: BodyInput): Drawing | null {
  if (at === null) return null;
  const { station, index } = at;
  return sectionDrawing(`finding-${shown.findingIndex}`, station, beadShape, cutAt(station.layer, station.strand, station.attempt, index));
}

/** The frame that shows its place; undefined: none does, or the picture or the camera's place is not known. */
function frameOf({ finding, shown, at }: Placed, { sheet: { frameOfRank }, frames, framed }: BodyInput): Drawing | undefined {
  const frame = frames[frameOfRank[shown.rank] ?? -1], { kind, position } = finding, { letter } = FINDING_MARKS[kind];
  const picture = frame === undefined ? null : framed(frame, { letters: [{ position, text: letter }], chosen: at === null ? null : { layer: shown.layer, strand: shown.strand, station: at.index } });
  if (frame === undefined || picture === null) return undefined;
  const barMm = CHOSEN_WIDTHS * (at?.station.planned.widthMm ?? 1);
  return frameCropDrawing(`finding-${shown.findingIndex}-frame`, frame, finding, picture, { lengthMm: "lengthMm" in finding ? finding.lengthMm : 0, barMm }) ?? undefined;
}

/** Worst first, with everything that measuring says of them. */
export function reportFindings(input: BodyInput): ReportFinding[] {
  const placeOf = placer(input.stations);
  return input.sheet.findings.map((shown, i) => {
    const finding = input.findings[shown.findingIndex] as Finding, placed = { finding, shown, at: placeOf(shown) }, { metric, value, limit } = valueAndLimit(placed), frame = i < MOST_PICTURES ? frameOf(placed, input) : undefined;
    const lengthMm = "lengthMm" in finding ? finding.lengthMm : null;
    return {
      findingIndex: shown.findingIndex, kind: finding.kind, severity: finding.severity, proven: finding.proven, place: placeWords(shown), lengthMm, metric, value, limit, advice: shown.advice,
      facts: [
        { name: "where", value: `${placeWords(shown)}${lengthMm === null ? "" : `, ${lengthMm.toFixed(1)} mm long`}` }, { name: metric, value: `${value} (U, k = ${COVERAGE_FACTOR}), limit ${limit}` },
        { name: "severity", value: `${finding.severity}, ${finding.proven ? "proven beyond the guard" : "not proven: within the guard of its limit"}` },
        ...("volumeMm3" in finding ? [{ name: "volume", value: finding.volumeMm3 === null ? "not known: only a camera saw it" : `${finding.volumeMm3.toFixed(2)} mm³` }] : []),
        ...("verdict" in finding ? [{ name: "what they say", value: `camera: ${finding.camera}; profiler: ${VERDICT_MARKS[finding.verdict].label.toLowerCase()}` }] : []),
        ...("file" in finding ? [{ name: "frame", value: finding.file }] : []),
        { name: "support beneath", value: placed.at?.station.measured?.support ?? "–" },
      ],
      drawing: i < MOST_PICTURES && "fromMm" in finding ? pictureOf(placed, input) : null, ...(frame === undefined ? {} : { frame }),
    };
  });
}

function dispositionWords(disposition: FindingDisposition | undefined): string {
  if (disposition === undefined) return "open: nobody has decided";
  const { at, actor, reason, note } = disposition, label = DISPOSITION_REASONS[disposition.disposition].find(({ code }) => code === reason)?.label ?? reason;
  return `${DISPOSITION_LABELS[disposition.disposition]}: ${label}${note === "" ? "" : `, “${note}”`}; ${actor}, ${dateTime(at)} UTC`;
}

function tableOf(findings: readonly ReportFinding[], last: ReadonlyMap<number, FindingDisposition>): ReportBlock {
  const columns = ["mark", "finding", "where", "measured ± U", "limit", "proven", "disposition"].map((title, i) => ({ title, isNumber: i === 4 }));
  const rows = findings.map(({ findingIndex, kind, severity, place, metric, value, limit, proven }) => {
    const disposition = last.get(findingIndex);
    return [FINDING_MARKS[kind].letter, `${FINDING_MARKS[kind].label}, ${severity}`, place, `${metric}: ${value}`, limit, proven ? "yes" : "no", disposition === undefined ? "open" : `${DISPOSITION_LABELS[disposition.disposition]}, ${disposition.actor}`];
  });
  return { kind: "table", table: { caption: `All findings, worst first; U = ${COVERAGE_FACTOR} u`, columns, rows } };
}

function openingWords(count: number, actCount: number, open: number): string {
  const what = `${capital(counted(count, "finding"))}, ${actCount === 0 ? "none of them to act on" : actCount === count ? "all to act on" : `${actCount} of them to act on`}.`;
  if (actCount === 0) return what;
  return `${what} ${open === 0 ? "Somebody has decided about every one of those." : `${open === actCount ? (actCount === 1 ? "It is" : "All of those are") : open === 1 ? "One of those is" : `${open} of those are`} open: nobody has decided.`}`;
}

/** `dispositions` of this result, in the order of the log: of several for one finding the last counts. */
export function findingsSection(findings: readonly ReportFinding[], dispositions: readonly FindingDisposition[]): ReportSection {
  const last = new Map(dispositions.map((each) => [each.findingIndex, each])), open = findings.filter(({ severity, findingIndex }) => severity === "act" && !last.has(findingIndex)).length;
  const title = "Findings";
  if (findings.length === 0) return { id: "findings", title, blocks: [{ kind: "words", text: "There are no findings." }] };
  return {
    id: "findings", title,
    blocks: [
      { kind: "words", text: openingWords(findings.length, findings.filter(({ severity }) => severity === "act").length, open) },
      tableOf(findings, last),
      ...findings.filter(({ drawing, frame }) => drawing !== null || frame !== undefined).flatMap(({ findingIndex, kind, facts, advice, drawing, frame }): ReportBlock[] => [
        { kind: "heading", text: `${FINDING_MARKS[kind].letter} · ${FINDING_MARKS[kind].label}, ${facts[0]?.value ?? ""}` },
        ...[drawing, frame].flatMap((each): ReportBlock[] => (each == null ? [] : [{ kind: "drawing", drawing: each }])),
        { kind: "facts", facts: [...facts.slice(1), { name: "advice", value: advice }, { name: "disposition", value: dispositionWords(last.get(findingIndex)) }] },
      ]),
      ...(findings.length > MOST_PICTURES ? [{ kind: "words", text: `Pictures of the worst ${MOST_PICTURES} stand here; the run’s sheet shows every place.` } as const] : []),
    ],
  };
}
