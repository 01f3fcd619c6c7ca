/** A control chart as a drawing: runs in the order of time from left to right. */
import { roundTicks } from "../kernel/histogram.ts";
import type { AcrossChart } from "../model/across.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark } from "../model/report.ts";
import type { RunRule } from "../formula/runRules.ts";
import { rangeSignals, type ChartValues } from "./acrossChart.ts";
import { boxMark, lineMark, numberText, scaleOf, textMark } from "./plot.ts";

const LEFT = 44, RIGHT = DRAWING_WIDTH - 50, TALL = 190, TOP = 16, RANGE_TALL = 70, GAP = 26;
/** On the chart a pattern is a number, Nelson's; of Western Electric's the one that Nelson has not. */
const CHART_LABEL: Readonly<Partial<Record<RunRule, string>>> = { N1: "1", N2: "2", N3: "3", N4: "4", N5: "5", N6: "6", N7: "7", N8: "8", WE4: "W4" };

interface Panel { readonly topY: number; readonly baseY: number; readonly at: (value: number) => number; readonly x: (i: number) => number }

function panelOf(all: readonly number[], count: number, topY: number, tall: number): Panel & { readonly low: number; readonly high: number } {
  const known = all.filter((value) => Number.isFinite(value)), low = Math.min(...known), high = Math.max(...known), room = high > low ? 0.07 * (high - low) : Math.max(1e-3, 0.05 * Math.abs(low));
  const baseY = topY + tall;
  return { low: low - room, high: high + room, topY, baseY, at: scaleOf(low - room, high + room, baseY, topY), x: scaleOf(0, Math.max(1, count - 1), count === 1 ? (LEFT + RIGHT) / 2 : LEFT + 6, RIGHT - 6) };
}

function decimalsOfStep(ticks: readonly number[]): number {
  const step = (ticks[1] ?? 1) - (ticks[0] ?? 0);
  return Math.max(0, Math.min(7, -Math.floor(Math.log10(Math.abs(step) || 1) + 1e-9)));
}

/** Left axis with round numbers, and the frame's foot. */
function axisMarks({ low, high, at, topY, baseY }: Panel & { readonly low: number; readonly high: number }, count: number): DrawingMark[] {
  const ticks = roundTicks(low, high, count), decimals = decimalsOfStep(ticks);
  return [
    lineMark([LEFT, topY, LEFT, baseY, RIGHT, baseY], "thin"),
    ...ticks.flatMap((tick) => [lineMark([LEFT, at(tick), RIGHT, at(tick)], "grid"), textMark(LEFT - 4, at(tick) + 2.7, numberText(tick, decimals), { size: 7.5, anchor: "end", quiet: true })]),
  ];
}

/** A level line with its value at the right. */
function levelMarks({ at }: Panel, value: number, look: "thin" | "centre" | "hidden", text: string): DrawingMark[] {
  return Number.isFinite(value) ? [lineMark([LEFT, at(value), RIGHT, at(value)], look), textMark(RIGHT + 3, at(value) + 2.7, text, { size: 7.5 })] : [];
}

function curve({ at, x }: Panel, values: readonly number[], look: "thin" | "thick" | "hidden"): DrawingMark {
  return lineMark(values.flatMap((value, i) => [x(i), at(value)]), look);
}

/** Half a side of a square that says something. */
const MARKED = 3.4;

function squareMark(x: number, y: number, half = MARKED): DrawingMark {
  return boxMark({ x: x - half, y: y - half, width: 2 * half, height: 2 * half }, "thick");
}

/** A square a run; larger and open where something is said of it. */
function dots({ at, x }: Panel, values: readonly number[], marked: ReadonlySet<number>): DrawingMark[] {
  const plain = values.length > 80 ? 1 : 1.6;
  return values.map((value, i) => squareMark(x(i), at(value), marked.has(i) ? MARKED : plain));
}

/** The number of a pattern where it is first met, and again after it was broken. */
function ruleMarks({ at, x, topY }: Panel, { values, hits }: ChartValues): DrawingMark[] {
  const met = new Set(hits.map((hit) => `${hit.rule}/${hit.at}`));
  return values.flatMap((value, i) => {
    const labels = hits.filter((hit) => hit.at === i && !met.has(`${hit.rule}/${i - 1}`)).map(({ rule }) => CHART_LABEL[rule]).filter((label) => label !== undefined);
    return labels.length === 0 ? [] : [textMark(x(i), Math.max(topY + 6, at(value) - 6), labels.join(" "), { size: 8, anchor: "middle", bold: true })];
  });
}

function footMarks(panel: Panel, count: number, y: number, dates: readonly [string, string]): DrawingMark[] {
  const ticks = roundTicks(1, count, 10).filter((n) => Number.isInteger(n) && n >= 1 && n <= count);
  return [
    ...ticks.map((n) => textMark(panel.x(n - 1), y + 10, String(n), { size: 7.5, anchor: "middle", quiet: true })),
    textMark(LEFT, y + 20, dates[0], { size: 7.5, quiet: true }), textMark((LEFT + RIGHT) / 2, y + 20, "runs in the order of time", { size: 7.5, anchor: "middle", quiet: true }), textMark(RIGHT, y + 20, dates[1], { size: 7.5, anchor: "end", quiet: true }),
  ];
}

interface Parts { readonly marks: readonly DrawingMark[]; readonly title: string; readonly height: number }
interface Asked { readonly chart: ChartValues; readonly metricName: string; readonly decimals: number; readonly dates: readonly [string, string]; readonly signals: readonly number[] }

function individualsParts({ chart, metricName, decimals, dates }: Asked): Parts {
  const { values, centre, lower, upper, rangeCentre, rangeUpper, hits, individuals: { ranges } } = chart, text = (value: number): string => numberText(value, decimals);
  const main = panelOf([...values, lower, upper, centre], values.length, TOP, TALL), rangeTop = TOP + TALL + GAP, range = panelOf([0, ...ranges, rangeUpper], values.length, rangeTop, RANGE_TALL);
  const rangeMarks = ranges.length === 0 ? [] : [
    textMark(LEFT, rangeTop - 5, "moving range", { size: 8 }), ...axisMarks(range, 3), ...levelMarks(range, rangeCentre, "centre", text(rangeCentre)), ...levelMarks(range, rangeUpper, "hidden", text(rangeUpper)),
    lineMark(ranges.flatMap((value, i) => [range.x(i + 1), range.at(value)]), "thick"),
    ...rangeSignals(chart).map((i) => squareMark(range.x(i), range.at(ranges[i - 1] as number))),
  ];
  const marks = [textMark(LEFT, TOP - 5, metricName, { size: 8 }), ...axisMarks(main, 6), ...levelMarks(main, centre, "centre", text(centre)), ...levelMarks(main, upper, "hidden", text(upper)), ...levelMarks(main, lower, "hidden", text(lower)),
    curve(main, values, "thin"), ...dots(main, values, new Set(hits.map((hit) => hit.at))), ...ruleMarks(main, chart), ...rangeMarks, ...footMarks(main, values.length, rangeTop + RANGE_TALL, dates)];
  return { marks, height: rangeTop + RANGE_TALL + 24, title: "Individuals and moving range: centre line dash-dotted, limits at 3 standard deviations dashed; Nelson’s patterns by their number, W4 is Western Electric 4" };
}

function ewmaParts({ chart, metricName, decimals, dates, signals }: Asked): Parts {
  const { values, centre, ewma: { points, lower, upper } } = chart, text = (value: number): string => numberText(value, decimals), smooth = points.map(({ value }) => value);
  const main = panelOf([...values, ...smooth, lower, upper], values.length, TOP, TALL), hasLimits = Number.isFinite(upper);
  const marks = [textMark(LEFT, TOP - 5, `${metricName}, weighted average`, { size: 8 }), ...axisMarks(main, 6), ...levelMarks(main, centre, "centre", text(centre)),
    ...(hasLimits ? [curve(main, points.map((point) => point.upper), "hidden"), curve(main, points.map((point) => point.lower), "hidden"), textMark(RIGHT + 3, main.at(upper) + 2.7, text(upper), { size: 7.5 }), textMark(RIGHT + 3, main.at(lower) + 2.7, text(lower), { size: 7.5 })] : []),
    ...dots(main, values, new Set()), curve(main, smooth, "thick"), ...signals.map((i) => squareMark(main.x(i), main.at(smooth[i] as number))), ...footMarks(main, values.length, TOP + TALL, dates)];
  return { marks, height: TOP + TALL + 24, title: "EWMA: weighted average thick, single runs as dots, limits of each place dashed" };
}

function cusumParts({ chart, metricName, decimals, dates, signals }: Asked): Parts {
  const { values, cusum, decision } = chart, high = cusum.map((point) => point.high), low = cusum.map((point) => -point.low), text = (value: number): string => numberText(value, decimals);
  const main = panelOf([...high, ...low, 0, decision, -decision], values.length, TOP, TALL);
  const marks = [textMark(LEFT, TOP - 5, `${metricName}, summed above (up) and below (down) the target`, { size: 8 }), ...axisMarks(main, 6), ...levelMarks(main, 0, "centre", "target"), ...levelMarks(main, decision, "hidden", text(decision)), ...levelMarks(main, -decision, "hidden", text(decision)),
    curve(main, high, "thick"), curve(main, low, "thick"), ...signals.map((i) => squareMark(main.x(i), main.at((high[i] as number) > decision ? high[i] as number : low[i] as number))),
    ...footMarks(main, values.length, TOP + TALL, dates)];
  return { marks, height: TOP + TALL + 24, title: "CUSUM: sums above and below the target, decision limit dashed, signals as squares" };
}

/** `alt`: the sentence that says the same. */
export function controlDrawing(kind: AcrossChart, asked: Asked, alt: string): Drawing {
  const { marks, title, height } = kind === "individuals" ? individualsParts(asked) : kind === "ewma" ? ewmaParts(asked) : cusumParts(asked);
  return { id: `across-${kind}`, title, alt, width: DRAWING_WIDTH, height, scaleWords: "not to scale", marks };
}
