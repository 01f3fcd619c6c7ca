/** Histograms of a layer's strand means, one panel a quantity, with the bands they are judged by. */
import { histogram } from "../kernel/histogram.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark } from "../model/report.ts";
import { counted } from "./words.ts";
import type { Distribution, Quantity } from "./distributionValues.ts";
import { boxMark, decimalsFor, lineMark, numberText, scaleOf, textMark } from "./plot.ts";

/** Name with unit, as a column has it. */
export const QUANTITY_NAMES: Readonly<Record<Quantity, string>> = {
  areaRatio: "area ratio", widthDevMm: "width − planned, mm", heightDevMm: "height − planned, mm", offsetMm: "offset, mm, + left of travel",
};

const GAP = 18, PANEL = (DRAWING_WIDTH - GAP) / 2, TALL = 92, ROW = 142, TOP = 22;

/** Least and greatest value that a panel shows: the values and the act limits, with some room. */
function rangeOf({ values, act }: Distribution): { low: number; high: number } {
  const all = [...values, ...(act === null ? [] : [act.lower, act.upper])], low = Math.min(...all), high = Math.max(...all), room = high > low ? (high - low) * 0.06 : Math.max(1e-3, Math.abs(low) * 0.1);
  return { low: low - room, high: high + room };
}

function barMarks({ values }: Distribution, at: (value: number) => number, baseY: number): DrawingMark[] {
  const sorted = histogram(values);
  if (sorted === null) return [];
  const most = Math.max(...sorted.counts), unit = (TALL - 14) / most;
  return sorted.counts.flatMap((count, i) => {
    if (count === 0) return [];
    const left = at(sorted.from + i * sorted.step), right = at(sorted.from + (i + 1) * sorted.step), width = Math.max(2.5, right - left), x = (left + right - width) / 2;
    const bar = boxMark({ x, y: baseY - count * unit, width, height: count * unit }, "thick", "bone");
    return width < 9 && count !== most ? [bar] : [bar, textMark(x + width / 2, baseY - count * unit - 3, String(count), { size: 7.5, anchor: "middle" })];
  });
}

function limitMarks({ act, watch, summary }: Distribution, at: (value: number) => number, { topY, baseY, decimals }: { readonly topY: number; readonly baseY: number; readonly decimals: number }): DrawingMark[] {
  const upright = (value: number, look: "thin" | "hidden" | "centre"): DrawingMark => lineMark([at(value), topY, at(value), baseY], look);
  const watchMarks = watch === null ? [] : [upright(watch.lower, "hidden"), upright(watch.upper, "hidden")];
  const actMarks = act === null ? [] : [upright(act.lower, "thin"), upright(act.upper, "thin"),
    textMark(at(act.lower), baseY + 10, numberText(act.lower, 2), { size: 7.5, anchor: "middle" }), textMark(at(act.upper), baseY + 10, numberText(act.upper, 2), { size: 7.5, anchor: "middle" })];
  return [...watchMarks, ...actMarks, upright(summary.mean, "centre"), textMark(at(summary.mean), baseY + (act === null ? 10 : 19), `mean ${numberText(summary.mean, decimals)}`, { size: 7.5, anchor: "middle", bold: true })];
}

function panelMarks(each: Distribution, x: number, y: number): DrawingMark[] {
  const topY = y + TOP, baseY = topY + TALL, title = textMark(x, y + 10, QUANTITY_NAMES[each.quantity], { size: 9, bold: true });
  if (each.values.length === 0) return [title, textMark(x, y + 28, "not measured on any strand", { quiet: true })];
  const { low, high } = rangeOf(each), at = scaleOf(low, high, x, x + PANEL);
  const band = each.act === null ? [] : [boxMark({ x: at(each.act.lower), y: topY, width: at(each.act.upper) - at(each.act.lower), height: TALL }, "none", "band")];
  return [
    title, ...band, ...barMarks(each, at, baseY), lineMark([x, baseY, x + PANEL, baseY], "thin"),
    ...limitMarks(each, at, { topY, baseY, decimals: decimalsFor(each.summary.sd) }),
  ];
}

function altOf(layer: number, all: readonly Distribution[]): string {
  const said = all.map(({ quantity, values, summary }) => `${QUANTITY_NAMES[quantity]}: ${values.length === 0 ? "not measured" : `${counted(values.length, "strand")} from ${numberText(Math.min(...values), 3)} to ${numberText(Math.max(...values), 3)}, mean ${numberText(summary.mean, 3)}`}`);
  return `Histograms of the strand means of layer ${layer}. ${said.join("; ")}.`;
}

/** Four panels. Bars count strands; the act band is shaded with its limits below it, watch limits are dashed, the mean is dash-dotted. */
export function histogramDrawing(layer: number, all: readonly Distribution[]): Drawing {
  return {
    id: `distributions-layer-${layer}`, title: `Layer ${layer}: strands by their means; act band shaded, watch limits dashed, mean dash-dotted`, alt: altOf(layer, all),
    width: DRAWING_WIDTH, height: ROW * Math.ceil(all.length / 2), scaleWords: "not to scale",
    marks: all.flatMap((each, i) => panelMarks(each, i % 2 * (PANEL + GAP), Math.floor(i / 2) * ROW)),
  };
}
