import { describe, expect, it } from "vitest";
import { FINDING_MARKS, SHEET, VERDICT_MARKS } from "../../lib/model/marks.ts";
import { FINDING_KINDS, VERDICTS } from "../../lib/model/result.ts";
import { hueDeg, saturation } from "../support/hue.ts";

function linear(channel: number): number {
  const c = channel / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
}
function rgb(hex: string): [number, number, number] {
  return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as [number, number, number];
}
/** WCAG 2.2, relative luminance and contrast ratio. */
function contrast(a: string, b: string): number {
  const [high, low] = [a, b].map((hex) => {
    const [r, g, blue] = rgb(hex).map(linear) as [number, number, number];
    return 0.2126 * r + 0.7152 * g + 0.0722 * blue;
  }).sort((x, y) => y - x) as [number, number];
  return (high + 0.05) / (low + 0.05);
}
const all = [...FINDING_KINDS.map((kind) => [kind, FINDING_MARKS[kind]] as const), ...VERDICTS.map((verdict) => [verdict, VERDICT_MARKS[verdict]] as const)];

describe("marks", () => {
  it.each(all)("%s holds 7 : 1 against its sheet in light and in dark (WCAG 2.2 formula)", (_, mark) => {
    expect(contrast(mark.light, SHEET.light)).toBeGreaterThanOrEqual(7);
    expect(contrast(mark.dark, SHEET.dark)).toBeGreaterThanOrEqual(7);
  });

  it.each(all)("%s keeps 15° of hue away from alarm red 0°, yellow 60° and cyan 180° (IEC 60601-1-8 colours; the distance is our own)", (_, mark) => {
    for (const hex of [mark.light, mark.dark]) {
      if (saturation(hex) < 0.15) continue;
      for (const alarm of [0, 60, 180, 360]) expect(Math.abs(hueDeg(hex) - alarm)).toBeGreaterThan(15);
    }
  });

  it("findings have twelve different letters, and stretches that share a pattern differ in letter and outline", () => {
    expect(new Set(FINDING_KINDS.map((kind) => FINDING_MARKS[kind].letter)).size).toBe(12);
    const patterned = FINDING_KINDS.map((kind) => FINDING_MARKS[kind].pattern).filter((pattern) => pattern !== "none");
    expect(new Set(patterned).size).toBe(patterned.length);
  });

  it("a verdict that leads to a finding carries that finding's letter, pattern and colour", () => {
    const { label: _, ...under } = VERDICT_MARKS.under;
    expect(FINDING_MARKS.underExtrusion).toMatchObject(under);
    expect(VERDICT_MARKS.gap).toBe(FINDING_MARKS.gap);
  });
});
