import { describe, expect, it } from "vitest";
import { buildBeside, type BesideSide } from "../../lib/report/beside.ts";
import { buildSheet } from "../../lib/report/buildSheet.ts";
import { DRAWING_WIDTH, type Drawing } from "../../lib/model/report.ts";
import type { BodyFinding, Finding } from "../../lib/model/result.ts";
import { strandMeans } from "../../lib/run/strandMeans.ts";
import { madeResult, type MadeFault, type MadeSettings } from "../support/madeResult.ts";

const stray = (xMm: number): BodyFinding => ({ kind: "strayMaterial", severity: "act", proven: true, layer: 1, areaMm2: 1.4, volumeMm3: 0.3, lengthMm: 1.6, position: [xMm, 6.2, 0.6], worst: { metric: "areaMm2", value: 1.4, limit: 0.605 } });
interface Made { readonly id: string; readonly plan?: string; readonly faults?: readonly MadeFault[]; readonly more?: readonly Finding[]; readonly settings?: Partial<MadeSettings>; readonly runId?: string; readonly minInBand?: number }

function side({ id, plan = "p1", faults = [], more = [], settings = {}, runId = `run ${id}`, minInBand = 0.5 }: Made): BesideSide {
  const of: MadeSettings = { layers: 2, strands: 3, lengthMm: 12, spacingMm: 0.5, widthMm: 1.1, heightMm: 0.6, faults, ...settings }, result = madeResult(of), findings = [...result.findings, ...more];
  const sheet = buildSheet({
    head: { runId, name: `name ${id}`, specimen: null, lot: `L${id}`, materialName: "paste", createdAt: "2026-02-03T09:12:00.000Z", rehearsal: false, demo: false, planSha256: plan }, resultId: `result ${id}`,
    job: null, plan: null, beadShape: "stadium", strands: Array.from({ length: of.layers * of.strands }, (_, i) => ({ layer: 1 + Math.floor(i / of.strands), strand: 1 + i % of.strands, lengthMm: of.lengthMm, closed: false })),
    stations: result.stations, earlierAttempts: [], findings, frames: [], summary: result.summary, acceptance: { minMeasuredFraction: 0.5, minInBandFraction: minInBand, maxActFindings: 5 }, warnings: [],
  });
  return { sheet, summary: result.summary, findings, means: strandMeans(result.stations, () => undefined), recompute: null };
}
const gap = (strand: number, fromMm: number, toMm: number, layer = 2): MadeFault => ({ kind: "gap", layer, strand, fromMm, toMm });
const rowOf = (beside: ReturnType<typeof buildBeside>, name: string): readonly string[] | undefined => beside.amounts.rows.find(([first]) => first === name);

describe("the sentence", () => {
  it.each<[string, BesideSide, BesideSide, string]>([
    ["one acceptable, one not", side({ id: "a" }), side({ id: "b", minInBand: 0.99, faults: [gap(1, 2, 4)] }), "A is acceptable, B is not acceptable."],
    ["two act findings more", side({ id: "a" }), side({ id: "b", faults: [gap(1, 2, 3), gap(2, 5, 6)] }), "Two act findings more in B than in A."],
    ["one of one run fewer", side({ id: "a", runId: "r", faults: [gap(1, 2, 3)] }), side({ id: "b", runId: "r" }), "The same data, measured twice. One act finding fewer in B than in A."],
    ["a share of 4 of 6 strands not seen against none", side({ id: "a" }), side({ id: "b", faults: [1, 2, 3].map((strand) => ({ kind: "unmeasured" as const, layer: 2, strand, fromMm: 0, toMm: 12 })) }), "In A 100.0\u00a0% of the laid length is in band, in B 50.0\u00a0%."],
    ["another plan", side({ id: "a", plan: "p1" }), side({ id: "b", plan: "p2" }), "Two different plans: places cannot be compared. By their counts and amounts they do not differ."],
  ])("%s", (_, a, b, headline) => expect(buildBeside(a, b).headline).toBe(headline));

  it("one result on both sides differs in nothing, and says so", () => {
    const one = side({ id: "a" });
    expect(buildBeside(one, one).headline).toBe("Both sides are the same result: nothing differs.");
  });
});

describe("facts and amounts", () => {
  const beside = buildBeside(side({ id: "a", faults: [gap(1, 2, 4)] }), side({ id: "b", faults: [{ kind: "underExtrusion", layer: 1, strand: 2, fromMm: 1, toMm: 8 }, gap(3, 6, 7)] }));

  it("say what is alike and what is not: plan, paste and limits are, run and lot are not", () => {
    const isSame = Object.fromEntries(beside.facts.map((fact) => [fact.name, fact.isSame]));
    expect(isSame).toMatchObject({ plan: true, material: true, "limits: area ratio": true, run: false, lot: false });
    expect(beside.facts.find(({ name }) => name === "lot")).toEqual({ name: "lot", a: "La", b: "Lb", isSame: false });
  });

  it("count and subtract: 150 stations each, one gap each, one stretch of too little in B alone", () => {
    expect(rowOf(beside, "stations planned")).toEqual(["stations planned", "150", "150", "0"]);
    expect(rowOf(beside, "act findings")).toEqual(["act findings", "1", "2", "+1"]);
    expect(rowOf(beside, "findings: gap")).toEqual(["findings: gap", "1", "1", "0"]);
    expect(rowOf(beside, "findings: under-extrusion")).toEqual(["findings: under-extrusion", "0", "1", "+1"]);
    expect(rowOf(beside, "laid length in band")).toEqual(["laid length in band", "96.7\u00a0%", "88.0\u00a0%", "−8.7 points"]);
  });

  it("nothing laid has no share: a dash and no difference", () => {
    const empty = side({ id: "e", settings: { layers: 1, laidStrands: 0 } });
    expect(rowOf(buildBeside(side({ id: "a" }), empty), "laid length in band")).toEqual(["laid length in band", "100.0\u00a0%", "–", "–"]);
  });
});

describe("findings", () => {
  it("are in both where they are of one kind on one strand and overlap: 2–4 mm and 3.5–6 mm are, 2–4 and 4.5–6 are not, nor on another strand or of another kind", () => {
    const a = side({ id: "a", faults: [gap(1, 2, 4), gap(2, 2, 4), gap(3, 2, 4, 1), { kind: "underExtrusion", layer: 1, strand: 1, fromMm: 1, toMm: 5 }] });
    const b = side({ id: "b", faults: [gap(1, 3.5, 6), gap(2, 4.5, 6), gap(2, 2, 4, 1), gap(1, 1, 5, 1)] });
    const { onlyA, onlyB, both } = buildBeside(a, b).findings!;
    expect(both.map(({ a: ofA, b: ofB }) => [ofA.slice(0, 33), ofB.slice(0, 33)])).toEqual([["Gap at layer 2, strand 1, 2.0–4.0", "Gap at layer 2, strand 1, 3.5–6.0"]]);
    expect([onlyA.length, onlyB.length]).toEqual([3, 3]);
  });

  it("off the path are the same within 3 mm, and two beyond", () => {
    const found = (xMm: number) => buildBeside(side({ id: "a", more: [stray(4)] }), side({ id: "b", more: [stray(xMm)] })).findings!;
    expect([found(7).both.length, found(7.01).both.length, found(7.01).onlyB.length]).toEqual([1, 0, 1]);
  });
});

describe("where the plans differ", () => {
  const beside = buildBeside(side({ id: "a", faults: [gap(1, 2, 4)] }), side({ id: "b", plan: "p2", settings: { layers: 1, strands: 4 }, faults: [gap(1, 2, 4, 1)] }));

  it("no finding and no strand is compared, a layer that one has not is none, and counts stand all the same", () => {
    expect([beside.findings, beside.means]).toEqual([null, null]);
    expect(beside.maps.map(({ layer, a, b }) => [layer, a !== null, b !== null])).toEqual([[1, true, true], [2, true, false]]);
    expect(rowOf(beside, "findings: gap")).toEqual(["findings: gap", "1", "1", "0"]);
  });
});

describe("maps", () => {
  const beside = buildBeside(side({ id: "a", faults: [gap(1, 2, 4)], more: [stray(30)] }), side({ id: "b", faults: [{ kind: "unmeasured", layer: 2, strand: 2, fromMm: 0, toMm: 12 }] }));
  const lengthOf = (drawing: Drawing | null): number => {
    const bar = drawing?.marks.at(-2), words = drawing?.marks.at(-1);
    return bar?.kind === "path" && words?.kind === "text" ? ((bar.points[4] as number) - (bar.points[2] as number)) / Number.parseFloat(words.text) : Number.NaN;
  };

  it("have one scale on both sides, though only A has a body 18 mm beyond its strands, and stay inside their width", () => {
    const [first] = beside.maps;
    expect(lengthOf(first!.a)).toBeCloseTo(lengthOf(first!.b), 9);
    for (const drawing of beside.maps.flatMap(({ a, b }) => [a!, b!])) {
      expect(2 * drawing.width).toBeLessThanOrEqual(DRAWING_WIDTH);
      const points = drawing.marks.flatMap((mark) => (mark.kind === "path" ? mark.points.filter((_, i) => i % 2 === 0) : []));
      expect([Math.min(...points) >= 0, Math.max(...points) <= drawing.width]).toEqual([true, true]);
    }
  });

  it("draw nothing where nothing was seen, a gap by its outline and findings by letter", () => {
    const of = (drawing: Drawing, is: (mark: Drawing["marks"][number]) => boolean): number => drawing.marks.filter(is).length;
    const [, second] = beside.maps;
    expect([of(second!.a!, (mark) => mark.kind === "path" && mark.fill === "bone"), of(second!.b!, (mark) => mark.kind === "path" && mark.fill === "bone")]).toEqual([4, 2]); // the gap parts one; one was not seen
    expect(of(second!.a!, (mark) => mark.kind === "path" && mark.fill === "gap")).toBe(1);
    expect(second!.a!.marks.flatMap((mark) => (mark.kind === "tag" ? [mark.letter] : []))).toEqual(["G"]);
    expect(beside.maps[0]!.a!.marks.flatMap((mark) => (mark.kind === "tag" ? [mark.letter] : []))).toEqual(["S"]);
  });
});

describe("maps of many layers", () => {
  const many = (id: string, faults: readonly MadeFault[]) => side({ id, settings: { layers: 5, strands: 2, lengthMm: 3 }, faults });
  const drawn = (layer: number | null): number[] => buildBeside(many("a", [gap(1, 1, 2, 2)]), many("b", [gap(1, 1, 2, 2), gap(2, 1, 2, 4)]), layer).maps.map((map) => map.layer);

  it("of five are drawn one at a time: the one that is asked for, else the one whose findings differ most; all are named", () => {
    expect([drawn(3), drawn(null), drawn(9), drawn(Number.NaN)]).toEqual([[3], [4], [4], [4]]);
    expect(buildBeside(many("a", []), many("b", [])).layers).toEqual([1, 2, 3, 4, 5]);
    expect(buildBeside(many("a", []), many("b", [])).maps.map((map) => map.layer)).toEqual([1]);
  });
});

describe("strand means", () => {
  it("stand strand by strand with B − A, and a strand that was not seen has a dash and parts the line", () => {
    const beside = buildBeside(side({ id: "a" }), side({ id: "b", faults: [{ kind: "unmeasured", layer: 1, strand: 2, fromMm: 0, toMm: 12 }, { kind: "overExtrusion", layer: 2, strand: 1, fromMm: 0, toMm: 12 }] }));
    const rows = beside.means!.table.rows;
    expect(rows.map(([layer, strand]) => `${layer}/${strand}`)).toEqual(["1/1", "1/2", "1/3", "2/1", "2/2", "2/3"]);
    expect(rows[0]!.slice(2, 5)).toEqual([rows[0]![2], rows[0]![2], "0"]);
    expect(rows[1]!.slice(3, 5)).toEqual(["–", "–"]);
    expect(Number(rows[3]![4]) / Number(rows[3]![2])).toBeCloseTo(0.42, 2); // over-extrusion of 1.42
    const lines = beside.means!.drawing.marks.filter((mark) => mark.kind === "path" && mark.look === "thick" && !mark.closed);
    expect(lines.length).toBe(1); // layer 2; layer 1 has single strands left and right of the one not seen
  });

  it("of a result from before they were kept are none", () => {
    expect(buildBeside(side({ id: "a" }), { ...side({ id: "b" }), means: [] }).means).toBeNull();
  });

  it("of 80 strands the 60 that differ most are spelled out, and the table says so", () => {
    const many = { layers: 1, strands: 80, lengthMm: 2 }, { table } = buildBeside(side({ id: "a", settings: many }), side({ id: "b", settings: many, faults: [{ kind: "overExtrusion", layer: 1, strand: 77, fromMm: 0, toMm: 2 }] })).means!;
    expect([table.rows.length, table.rows[0]![1], table.caption.slice(0, 51)]).toEqual([60, "77", "The 60 of 80 strands whose mean area ratios differ "]);
  });
});
