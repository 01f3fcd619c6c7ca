import { expect, it } from "vitest";
import type { LiveReading } from "../../../lib/model/liveEvent.ts";
import type { BodyFinding, StretchFinding } from "../../../lib/model/result.ts";
import { SeenSoFar } from "../../../lib/server/live/seenSoFar.ts";

const reading = (stationIndex: number, tS: number, more: Partial<LiveReading> = {}): LiveReading => ({
  layer: 1, strand: 2, stationIndex, sMm: stationIndex / 2, attempt: 1, tS, byS: tS + 0.25, ageS: 0.5, uWidthMm: 0.02, uHeightMm: 0.006, uAreaMm2: 0.008, uOffsetMm: 0.01, support: "measured", sagMm: null, widthMm: 1, heightMm: 0.5, areaRatio: tS / 10, offsetMm: 0, coverage: 0.9, verdict: "inBand", proven: true, ...more,
});
const gap: StretchFinding = { kind: "gap", severity: "act", proven: true, layer: 1, strand: 2, fromMm: 1, toMm: 3.5, lengthMm: 2.5, position: [1, 2, 3], worst: { metric: "areaRatio", value: 0.02, limit: 0.25 } };

it("of 300 readings of three stations three stand, the last told of each, and the newest is that of the greatest stamp", () => {
  const seen = new SeenSoFar();
  for (let i = 0; i < 300; i++) seen.takeReadings([reading(i % 3, i === 250 ? 999 : i)]);
  expect(seen.standingCount).toBe(3);
  expect(seen.standing.map(({ stationIndex, tS }) => [stationIndex, tS])).toEqual([[0, 297], [1, 298], [2, 299]]);
  expect(seen.newest?.tS).toBe(999);
});

it("what was taken off stands no more, and is laid and read again as the next attempt", () => {
  const seen = new SeenSoFar();
  seen.takeReadings([reading(0, 4), reading(1, 5)]);
  seen.takeReadings([reading(1, 6, { verdict: "removed", areaRatio: 0 })]);
  expect(seen.standing.map(({ stationIndex }) => stationIndex)).toEqual([0]);
  expect(seen.newest).toMatchObject({ stationIndex: 1, tS: 5 });
  seen.takeReadings([reading(1, 9, { attempt: 2 })]);
  expect(seen.standing.map(({ stationIndex, attempt }) => [stationIndex, attempt])).toEqual([[0, 1], [1, 2]]);
});

it("findings of a strand take the place of those told before, and none takes them away", () => {
  const seen = new SeenSoFar();
  seen.takeFindings({ layer: 1, strand: 2, findings: [gap] });
  seen.takeFindings({ layer: 1, strand: 3, findings: [{ ...gap, strand: 3 }, { ...gap, strand: 3, fromMm: 6, toMm: 8 }] });
  expect(seen.found.map((finding) => ("strand" in finding ? [finding.strand, finding.fromMm] : null))).toEqual([[2, 1], [3, 1], [3, 6]]);
  seen.takeFindings({ layer: 1, strand: 3, findings: [] });
  expect(seen.found).toEqual([gap]);
});

it("bodies of a layer take the place of those told before, beside what is found along strands", () => {
  const seen = new SeenSoFar(), body: BodyFinding = { kind: "strayMaterial", severity: "act", proven: true, layer: 1, areaMm2: 2.5, volumeMm3: null, lengthMm: 3, position: [4, 5, 6], worst: { metric: "areaMm2", value: 2.5, limit: 0.5 } };
  seen.takeFindings({ layer: 1, strand: 2, findings: [gap] });
  seen.takeBodies({ layer: 1, findings: [body, { ...body, areaMm2: 7 }] });
  seen.takeBodies({ layer: 1, findings: [body] });
  expect(seen.found).toEqual([gap, body]);
});

it("stations that were taken off are stretches until they are read again: 2.0 to 3.0 mm, then 3.0 mm alone", () => {
  const seen = new SeenSoFar();
  seen.takeReadings([4, 5, 6].map((station) => reading(station, 8)));
  seen.takeReadings([6, 4, 5].map((station) => reading(station, 9, { verdict: "removed" })));
  expect(seen.removed).toEqual([{ layer: 1, strand: 2, fromMm: 2, toMm: 3 }]);
  seen.takeReadings([4, 5].map((station) => reading(station, 12, { attempt: 2 })));
  expect(seen.removed).toEqual([{ layer: 1, strand: 2, fromMm: 3, toMm: 3 }]);
  expect(seen.strand(1, 2).map(({ stationIndex, attempt }) => [stationIndex, attempt])).toEqual([[4, 2], [5, 2]]);
});

it("the readings of one strand that stand come in order along it, whatever order they were told in, and none of its neighbours' or of what was taken off", () => {
  const seen = new SeenSoFar();
  seen.takeReadings([reading(12, 4), reading(3, 5), reading(7, 6), reading(5, 7, { strand: 3 }), reading(4, 8, { layer: 2 }), reading(9, 9)]);
  seen.takeReadings([reading(7, 10, { verdict: "removed" })]);
  expect(seen.strand(1, 2).map(({ stationIndex }) => stationIndex)).toEqual([3, 9, 12]);
  expect([seen.strand(2, 2).length, seen.strand(1, 3).length, seen.strand(4, 1)]).toEqual([1, 1, []]);
});

it("stations taken off side by side are one stretch, in plan order; a station that stands between two parts them", () => {
  const seen = new SeenSoFar(), removed = (stationIndex: number, more: Partial<LiveReading> = {}) => reading(stationIndex, 20, { verdict: "removed", ...more });
  expect(seen.removed).toEqual([]);
  seen.takeReadings([removed(6), removed(4), removed(5), removed(9), removed(2, { layer: 2, strand: 1 }), removed(7, { strand: 1 })]);
  expect(seen.removed).toEqual([
    { layer: 1, strand: 1, fromMm: 3.5, toMm: 3.5 }, { layer: 1, strand: 2, fromMm: 2, toMm: 3 }, { layer: 1, strand: 2, fromMm: 4.5, toMm: 4.5 }, { layer: 2, strand: 1, fromMm: 1, toMm: 1 },
  ]);
});

it("what is seen again is taken off no more: the middle of three leaves two stretches, all of them none", () => {
  const seen = new SeenSoFar();
  seen.takeReadings([4, 5, 6].map((index) => reading(index, 20, { verdict: "removed" })));
  seen.takeReadings([reading(5, 31, { attempt: 2 })]);
  expect(seen.removed.map(({ fromMm, toMm }) => [fromMm, toMm])).toEqual([[2, 2], [3, 3]]);
  seen.takeReadings([reading(4, 32, { attempt: 2 }), reading(6, 33, { attempt: 2 })]);
  expect(seen.removed).toEqual([]);
});
