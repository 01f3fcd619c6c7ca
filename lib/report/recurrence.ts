/** Which findings come again from run to run, and where: by layer, and by the tenth of the strand in which they lie. */
import { FINDING_MARKS } from "../model/marks.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark, type ReportTable } from "../model/report.ts";
import { FINDING_KINDS, type FindingKind, type Verdict } from "../model/result.ts";
import { boxMark, lineMark, textMark } from "./plot.ts";
import { counted } from "./words.ts";

/** A finding of some run. `tenth`: 0..9 along its strand; null: off the path, or without a place along it. */
export interface PlacedFinding { readonly kind: FindingKind; readonly layer: number; readonly tenth: number | null; readonly runId: string }
export interface Recurrence { readonly sentence: string; readonly table: ReportTable | null; readonly drawing: Drawing | null }

/** Rows of the table. */
const MOST_ROWS = 12;
const TENTHS = 10;
/** The verdict whose pattern a kind has; null: it has no place along a strand. */
const VERDICT_OF: Readonly<Record<FindingKind, Verdict | null>> = {
  gap: "gap", underExtrusion: "under", overExtrusion: "over", liftedStrand: "lifted", displacedStrand: "displaced", unmeasured: "unmeasured", detachedStrand: null, strayMaterial: null, closedPore: null,
  nozzleHang: null, sensorsDisagree: "watch", cameraPose: null,
};

interface Group { readonly kind: FindingKind; readonly layer: number; readonly count: number; readonly runCount: number; readonly byTenth: readonly number[] }

function tenthsOf(findings: readonly PlacedFinding[]): number[] {
  return Array.from({ length: TENTHS }, (_, tenth) => findings.filter((each) => each.tenth === tenth).length);
}

function groupsOf(findings: readonly PlacedFinding[]): Group[] {
  const keyed = new Map<string, PlacedFinding[]>();
  for (const each of findings) keyed.set(`${each.kind}/${each.layer}`, [...keyed.get(`${each.kind}/${each.layer}`) ?? [], each]);
  const groups = [...keyed.values()].map((all): Group => ({ kind: (all[0] as PlacedFinding).kind, layer: (all[0] as PlacedFinding).layer, count: all.length, runCount: new Set(all.map(({ runId }) => runId)).size, byTenth: tenthsOf(all) }));
  return groups.toSorted((a, b) => b.runCount - a.runCount || b.count - a.count || FINDING_KINDS.indexOf(a.kind) - FINDING_KINDS.indexOf(b.kind) || a.layer - b.layer);
}

/** "20–30 %" of the tenth that has most; "–" where none has a place. */
function mostPlace({ byTenth }: Group): string {
  const most = Math.max(...byTenth), tenth = byTenth.indexOf(most);
  return most === 0 ? "–" : `${tenth * 10}–${tenth * 10 + 10} %`;
}

const LABEL_X = 20, LEFT = 150, CELL = (DRAWING_WIDTH - LEFT) / TENTHS, ROW = 40, BAR = 26;

function rowMarks(kind: FindingKind, verdict: Verdict, counts: readonly number[], { y, most }: { readonly y: number; readonly most: number }): DrawingMark[] {
  const { letter, label } = FINDING_MARKS[kind], baseY = y + ROW - 4;
  return [
    { kind: "tag", x: 8, y: baseY - 9, verdict, letter }, textMark(LABEL_X, baseY - 6, label, { size: 9 }), lineMark([LEFT, baseY, DRAWING_WIDTH, baseY], "thin"),
    ...counts.flatMap((count, tenth) => (count === 0 ? [] : [
      boxMark({ x: LEFT + tenth * CELL + 3, y: baseY - BAR * count / most, width: CELL - 6, height: BAR * count / most }, "thin", verdict),
      textMark(LEFT + (tenth + 0.5) * CELL, baseY - BAR * count / most - 2.5, String(count), { size: 7.5, anchor: "middle" }),
    ])),
  ];
}

/** How many findings of each kind lie in which tenth of their strands; null: none has a place along one. */
function placeDrawing(findings: readonly PlacedFinding[]): Drawing | null {
  const rows = FINDING_KINDS.flatMap((kind) => {
    const verdict = VERDICT_OF[kind], counts = tenthsOf(findings.filter((each) => each.kind === kind));
    return verdict === null || counts.every((count) => count === 0) ? [] : [{ kind, verdict, counts }];
  });
  if (rows.length === 0) return null;
  const most = Math.max(...rows.flatMap(({ counts }) => counts)), height = 8 + rows.length * ROW + 26, y = 8 + rows.length * ROW + 10;
  const said = rows.map(({ kind, counts }) => `${FINDING_MARKS[kind].label}: ${counts.map((count, tenth) => (count === 0 ? null : `${count} at ${tenth * 10} to ${tenth * 10 + 10} %`)).filter((each) => each !== null).join(", ")}`);
  return {
    id: "across-places", title: "Findings by their place along the strand, counted in tenths of its length", alt: `${said.join("; ")}.`, width: DRAWING_WIDTH, height, scaleWords: "not to scale",
    marks: [
      ...rows.flatMap(({ kind, verdict, counts }, i) => rowMarks(kind, verdict, counts, { y: 8 + i * ROW, most })),
      ...[0, 25, 50, 75, 100].map((share) => textMark(LEFT + (DRAWING_WIDTH - LEFT) * share / 100, y, `${share} %`, { size: 7.5, anchor: share === 0 ? "start" : share === 100 ? "end" : "middle", quiet: true })),
      textMark(LEFT, y + 12, "of the strand’s length, from where it begins", { size: 7.5, quiet: true }),
    ],
  };
}

function sentenceOf(groups: readonly Group[], runCount: number): string {
  const [first] = groups, again = groups.filter((group) => group.runCount > 1);
  if (first === undefined) return `No finding in ${counted(runCount, "run")}.`;
  if (again.length === 0) return `No finding comes again: each kind was found in one run of ${runCount} alone, layer by layer.`;
  const place = mostPlace(first);
  return `${FINDING_MARKS[first.kind].label} in layer ${first.layer} comes again most: in ${first.runCount} of ${runCount} runs${place === "–" ? "" : `, most often at ${place} of the strand`}.`;
}

/** Of the results of `runCount` runs. */
export function recurrenceOf(findings: readonly PlacedFinding[], runCount: number): Recurrence {
  const groups = groupsOf(findings), shown = groups.slice(0, MOST_ROWS);
  return {
    sentence: sentenceOf(groups, runCount), drawing: placeDrawing(findings),
    table: groups.length === 0 ? null : {
      caption: `Findings by kind and layer, most runs first${groups.length > shown.length ? `; ${counted(groups.length - shown.length, "rarer row")} left out` : ""}`,
      columns: [{ title: "finding", isNumber: false }, { title: "layer", isNumber: true }, { title: `runs of ${runCount}`, isNumber: true }, { title: "findings", isNumber: true }, { title: "most often at", isNumber: true }],
      rows: shown.map((group) => [`${FINDING_MARKS[group.kind].letter} ${FINDING_MARKS[group.kind].label}`, String(group.layer), String(group.runCount), String(group.count), mostPlace(group)]),
    },
  };
}
