import { tableFromIPC } from "apache-arrow";
import { describe, expect, it } from "vitest";
import { stationsArrow } from "../../lib/report/stationsArrow.ts";
import type { StationResult } from "../../lib/model/result.ts";
import { madeResult } from "../support/madeResult.ts";

const MADE = madeResult({ layers: 2, strands: 3, lengthMm: 4, spacingMm: 0.8, widthMm: 1.1, heightMm: 0.45, laidStrands: 2, faults: [{ layer: 1, strand: 2, fromMm: 0.7, toMm: 1.7, kind: "unmeasured" }, { layer: 2, strand: 1, fromMm: 2, toMm: 3.3, kind: "gap" }] });
const RESULT = { ...MADE, stations: MADE.stations.map((at, i) => (i % 5 === 1 ? { ...at, camera: i === 6 ? { state: "absent" as const, widthMm: null, u: { widthMm: null }, file: "frames/6.png" } : { state: "present" as const, widthMm: 1 + i / 64, u: { widthMm: i / 512 }, file: `frames/${i}.png` } } : at)) };
const OF = { runId: "run-7", resultId: "result-9", contract: "aslaid/1" };

function strandsOf(stations: readonly StationResult[]): StationResult[][] {
  const keyOf = (at: StationResult): string => `${at.layer}/${at.strand}`;
  return [...new Set(stations.map(keyOf))].map((key) => stations.filter((at) => keyOf(at) === key));
}
const bytesOf = (strands: readonly (readonly StationResult[])[]): Buffer => Buffer.concat([...stationsArrow(strands, OF)]);

/** Each column's name in the stream, and where its value stands in a station. */
const VALUES: readonly (readonly [string, (at: StationResult) => unknown])[] = [
  ["layer", (at) => at.layer], ["strand", (at) => at.strand], ["sMm", (at) => at.sMm], ["attempt", (at) => at.attempt], ["xMm", (at) => at.position[0]], ["yMm", (at) => at.position[1]], ["zMm", (at) => at.position[2]], ["laid", (at) => at.laid],
  ...(["widthMm", "heightMm", "areaMm2"] as const).map((key) => [`planned.${key}`, (at: StationResult) => at.planned[key]] as const),
  ...(["widthMm", "heightMm", "areaMm2", "offsetMm", "coverage", "support", "ageS"] as const).map((key) => [`measured.${key}`, (at: StationResult) => at.measured?.[key] ?? null] as const),
  ...(["widthMm", "heightMm", "areaMm2", "offsetMm", "placementMm"] as const).map((key) => [`u.${key}`, (at: StationResult) => at.u?.[key] ?? null] as const),
  ["areaRatio", (at) => at.areaRatio], ["verdict", (at) => at.verdict], ["proven", (at) => at.proven], ["sagMm", (at) => at.sagMm],
  ["camera.state", (at) => at.camera?.state ?? null], ["camera.widthMm", (at) => at.camera?.widthMm ?? null], ["camera.u.widthMm", (at) => at.camera?.u.widthMm ?? null], ["camera.file", (at) => at.camera?.file ?? null],
];

describe("stations as an Arrow stream, read by apache-arrow", () => {
  const bytes = bytesOf(strandsOf(RESULT.stations)), table = tableFromIPC(bytes);

  it("36 stations of six strands are six batches with every value of the result, bit for bit, null where nothing was measured", () => {
    expect([table.numRows, table.batches.length, table.schema.fields.map(({ name }) => name)]).toEqual([36, 6, VALUES.map(([name]) => name)]);
    for (const [name, of] of VALUES) expect([name, [...table.getChild(name) as Iterable<unknown>]]).toEqual([name, RESULT.stations.map(of)]);
    expect(table.getChild("measured.widthMm")?.nullCount).toBe(RESULT.stations.filter((at) => at.measured?.widthMm === undefined || at.measured.widthMm === null).length);
    expect(table.getChild("areaRatio")?.nullCount).toBe(8); // two not seen, six not laid yet
  });

  it("its metadata name run, result and contract, its lengths are float64, and it ends with the end-of-stream marker", () => {
    expect(Object.fromEntries(table.schema.metadata)).toEqual(OF);
    expect(table.schema.fields.filter(({ name }) => /Mm2?$|Ratio$|ageS$|coverage$/.test(name)).map(({ type }) => String(type))).toEqual(Array.from({ length: 22 }, () => "Float64"));
    expect([...bytes.subarray(-8)]).toEqual([255, 255, 255, 255, 0, 0, 0, 0]);
  });

  it("no station at all is a stream with its columns and no row", () => {
    const none = tableFromIPC(bytesOf([[]]));
    expect([none.numRows, none.schema.fields.length]).toEqual([0, VALUES.length]);
  });
});
