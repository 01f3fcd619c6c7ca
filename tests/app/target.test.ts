/** The picture of the target, without a browser: what is drawn at a station, chunks of buffers, the ground, tags and words. */
import { describe, expect, it } from "vitest";
import { detailOf, indexPlace, lineIndices, makeChunks, writeBodies, writePart, writePartLines } from "../../app/components/target/chunk.ts";
import { makeGround, niceStep } from "../../app/components/target/ground.ts";
import { changedStations, countPlannedSizes, lookAt, LOOKS, sizeAt } from "../../app/components/target/looks.ts";
import { hull, nozzleOutline, placeTags, TAG_PX } from "../../app/components/target/overlayGeometry.ts";
import { Places } from "../../app/components/target/places.ts";
import { layerWords, plannedSizeWords } from "../../app/components/target/targetWords.ts";
import { axesOf, nameOf, scaleWords, VIEWS, viewWords } from "../../app/components/target/views.ts";
import { viewAxes } from "../../lib/kernel/parallelView.ts";
import { withReadings } from "../../lib/model/liveColumns.ts";
import type { LiveReading } from "../../lib/model/liveEvent.ts";
import type { SheetFinding, SheetLayer } from "../../lib/model/sheet.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { liveLayers } from "../../lib/report/liveLayers.ts";
import { targetShape } from "../../lib/report/targetShape.ts";
import type { Triple } from "../support/madePath.ts";
import { madeJob, madePlan } from "../support/madePlan.ts";

const dome = (x: number, y: number): number => Math.sqrt(60 * 60 - (x - 10) ** 2 - (y - 4) ** 2) - 50;
/** Strands along x over a dome of radius 60 mm, 1.5 mm apart, 20 mm long; the tip 0.5 mm over it. */
const arches = Array.from({ length: 5 }, (_, k) => ({ strand: k + 1, points: Array.from({ length: 21 }, (_, i): Triple => [i, 1 + 1.5 * k, dome(i, 1 + 1.5 * k) + 0.5]) }));
const job = madeJob(), plan = madePlan(arches, job), stations = buildStations(plan, 0.5), shape = targetShape(stations, job), empty = liveLayers(stations, plan);
const reading = (strand: number, stationIndex: number, more: Partial<LiveReading> = {}): LiveReading => ({
  layer: 1, strand, stationIndex, sMm: 0.5 * stationIndex, attempt: 1, tS: 3, byS: 4, ageS: 1, uWidthMm: 0.02, uHeightMm: 0.006, uAreaMm2: 0.008, uOffsetMm: 0.01, support: "measured", sagMm: null, widthMm: 1.1, heightMm: 0.45, areaRatio: 0.95, offsetMm: 0.2, coverage: 1, verdict: "inBand", proven: true, ...more,
});
const strandOf = (layers: readonly SheetLayer[], number: number) => layers[0]!.strands[number - 1]!;
const looksOf = (layers: readonly SheetLayer[], number: number, count: number): string[] => Array.from({ length: count }, (_, i) => LOOKS[lookAt(strandOf(layers, number), i)]!);

describe("what is drawn at a station", () => {
  const layers = withReadings(empty, [reading(2, 0), reading(2, 1, { verdict: "gap", widthMm: null, heightMm: null }), reading(2, 2, { verdict: "displaced" }), reading(2, 3, { verdict: "unmeasured" }), reading(2, 4, { verdict: "watch", widthMm: null })]);

  it("is its verdict's look; what was laid and not seen is blank, what was not laid a planned line", () => {
    expect(looksOf(layers, 2, 6)).toEqual(["seen", "gap", "displaced", "blank", "seen", "planned"]);
  });

  it("has its measured size and place, and the planned width where a flank was not seen: one of three bodies", () => {
    expect([sizeAt(strandOf(layers, 2), 0).widthMm, sizeAt(strandOf(layers, 2), 0).offsetMm, sizeAt(strandOf(layers, 2), 4).widthMm].map((mm) => Number(mm.toFixed(3)))).toEqual([1.1, 0.2, 1]);
    expect(countPlannedSizes(layers[0]!.strands)).toEqual({ bodies: 3, asPlanned: 1 });
    expect(plannedSizeWords(layers)).toBe("1 of 3 measured stations are drawn with a planned width or height: their own was not seen.");
    expect(plannedSizeWords(empty)).toBeNull();
  });

  it("changes from the first to the last station that a reading has changed", () => {
    const later = withReadings(layers, [reading(2, 7), reading(2, 9), reading(2, 0)]);
    expect(changedStations(strandOf(layers, 2), strandOf(later, 2))).toEqual([7, 9]);
    expect(changedStations(strandOf(later, 2), strandOf(withReadings(later, [reading(2, 9)]), 2))).toBeNull();
  });
});

describe("chunks", () => {
  it("hold the strands that sheet and plan both have, with as many stations; another is left out", () => {
    const [chunk, ...rest] = makeChunks(shape, [{ ...empty[0]!, strands: empty[0]!.strands.map((strand) => (strand.strand === 3 ? { ...strand, sMm: strand.sMm.subarray(1) } : strand)) }]);
    expect(rest).toEqual([]);
    expect(chunk?.parts.map(({ key }) => key)).toEqual(["1/1", "1/2", "1/4", "1/5"]);
  });

  it("write a reading's stations alone, and triangles for what was seen", () => {
    const [chunk] = makeChunks(shape, empty), part = chunk!.parts[1]!, layers = withReadings(empty, [2, 3, 4, 5].map((i) => reading(2, i)));
    for (const each of chunk!.parts) {
      writePart(chunk!, each, strandOf(empty, each.frames.strand), 0, each.count - 1);
      writePartLines(chunk!, each, strandOf(empty, each.frames.strand));
    }
    const detail = detailOf({ beadPx: 30, spacingPx: 15, isMoving: false, isNear: false }), place = indexPlace(chunk!);
    expect([writeBodies(chunk!, detail, place), lineIndices(chunk!, detail).planned.length]).toEqual([0, 2 * shape.strands.reduce((sum, { positionsMm }) => sum + positionsMm.length / 3 - 1, 0)]);
    const before = chunk!.positions.slice();
    writePart(chunk!, part, strandOf(layers, 2), 2, 5);
    const changed = [...before.keys()].filter((k) => before[k] !== chunk!.positions[k]);
    expect([Math.floor(changed[0]! / 27), Math.floor(changed.at(-1)! / 27)]).toEqual([part.first + 2, part.first + 5]);
    expect(writeBodies(chunk!, detail, place)).toBe(3 * (2 * 9 * 3 + 2 * 7));
    expect(lineIndices(chunk!, detail).edges.length).toBe(2 * 2 * 9);
  });

  it("put a bead of 0.45 mm, 0.2 mm to the left, on the planned base", () => {
    const [chunk] = makeChunks(shape, empty), part = chunk!.parts[0]!;
    writePart(chunk!, part, strandOf(withReadings(empty, [reading(1, 20)]), 1), 20, 20);
    const crown = chunk!.positions.subarray(27 * 20 + 12, 27 * 20 + 15), at = new Places(shape, empty).station(1, 1, 20)!;
    const along = (axis: readonly number[]): number => axis.reduce((sum, value, k) => sum + value * (crown[k]! - at.position[k as 0]), 0);
    expect([along(at.lateral), along(at.normal), along(at.tangent)].map((mm) => Number(mm.toFixed(4)) + 0)).toEqual([0.2, -0.05, 0]);
  });

  it("are drawn with nine points from 14 px on, six from 5 px, else four; coarser while they move, whole where somebody looks", () => {
    const points = (beadPx: number, isMoving = false, isNear = false): number => detailOf({ beadPx, spacingPx: 20, isMoving, isNear }).used.length;
    expect([points(14), points(13.9), points(5), points(4.9), points(27.9, true), points(28, true), points(3, false, true)]).toEqual([9, 6, 6, 4, 6, 9, 9]);
    const step = (spacingPx: number, isMoving: boolean): number => detailOf({ beadPx: 9, spacingPx, isMoving, isNear: false }).step;
    expect([step(20, false), step(2.5, false), step(2.49, false), step(0.3, false), step(2.5, true)]).toEqual([1, 2, 2, 16, 4]);
  });
});

describe("the ground", () => {
  it("lies 0.35 heights under the planned base of a dome, to 0.02 mm, is strongest under the strands and ends 16 % beyond them", () => {
    const ground = makeGround(shape, empty[0]!)!, { positions, strengths } = ground;
    const off = [...strengths.keys()].filter((v) => strengths[v] === 1).map((v) => positions[3 * v + 2]! - dome(positions[3 * v]!, positions[3 * v + 1]!));
    expect(off.length).toBeGreaterThan(50);
    expect(Math.max(...off.map((mm) => Math.abs(mm + 0.35 * 0.5)))).toBeLessThan(0.02);
    const reach = [...ground.lines].map((v) => positions[3 * v]!);
    expect(Math.min(...reach)).toBeGreaterThan(-0.16 * 20 - 0.01);
    expect(Math.max(...reach)).toBeGreaterThan(20 + 0.1 * 20);
  });

  it("is none where the strands lie on no one smooth surface", () => {
    const steps = arches.map(({ strand, points }) => ({ strand, points: points.map(([x, y, z]): Triple => [x, y, z + (strand % 2) * 3]) })), made = buildStations(madePlan(steps, job), 0.5);
    expect(makeGround(targetShape(made, job), liveLayers(made, madePlan(steps, job))[0]!)).toBeNull();
  });

  it("has lines 1, 2 or 5 times a power of ten apart", () => {
    expect([0.9, 1, 1.2, 2.4, 5.1, 0.03].map(niceStep).map((mm) => Number(mm.toFixed(6)))).toEqual([1, 1, 2, 5, 10, 0.05]);
  });
});

describe("views", () => {
  const { frame } = empty[0]!;
  it("by name are found again by their axes, and said by name; turned by hand they are said in degrees", () => {
    for (const { name } of VIEWS) expect(nameOf(axesOf(name, { ...frame, normal: [0, 0.6, 0.8], up: [0, 0.8, -0.6] }), { ...frame, normal: [0, 0.6, 0.8], up: [0, 0.8, -0.6] })).toBe(name);
    expect(viewWords(axesOf("left", frame), frame)).toBe("from the left");
    expect(viewWords(viewAxes([1, -1, Math.SQRT2], [0, 0, 1]), frame)).toBe("45° to the right of the front, 45° from above");
    expect(viewWords(viewAxes([-1, -Math.sqrt(3), -2], [0, 0, 1]), frame)).toBe("30° to the left of the front, 45° from below");
  });

  it("say their scale in two digits by 96 px to the inch: 37.8 px a mm is 10 : 1, 1.89 is 1 : 2", () => {
    expect([37.8, 1.89, 19.6, 3.78].map(scaleWords)).toEqual(["10 : 1", "1 : 2", "5.2 : 1", "1 : 1"]);
  });

  it("show layers in words", () => {
    const layers = [1, 2, 3, 4].map((layer) => ({ ...empty[0]!, layer }));
    expect([1, 2, 3, 4, null].map((layer) => layerWords(layers, layer))).toEqual(["layer 1", "layer 2 over layer 1", "layer 3 over layers 1 and 2", "layer 4 over layers 1 to 3", "all 4 layers"]);
    expect(layerWords(empty, null)).toBe("layer 1");
  });
});

describe("over the picture", () => {
  const box = { widthPx: 600, heightPx: 400 };
  it("12 tags of findings close together lie on no other, and inside; so does one near the edge", () => {
    const anchors = [...Array.from({ length: 12 }, (_, i) => [300 + 47 * (i % 4), 180 + 41 * Math.floor(i / 4)] as const), [597, 6] as const], tags = placeTags(anchors, box);
    const clashes = tags.flatMap((a, i) => tags.slice(i + 1).filter((b) => Math.abs(a[0] - b[0]) < TAG_PX && Math.abs(a[1] - b[1]) < TAG_PX));
    expect(clashes).toEqual([]);
    expect(placeTags([[300, 200], [304, 203]], box)).toEqual([[300, 160], [334, 163]]);
    expect(tags.every(([x, y]) => x > 0 && y > 0 && x < 600 && y < 400)).toBe(true);
  });

  it("the hull of a square with points inside and on its edges is its corners", () => {
    expect(hull([[0, 0], [4, 0], [2, 2], [4, 4], [0, 4], [2, 0], [1, 3]])).toEqual([[0, 0], [4, 0], [4, 4], [0, 4]]);
  });

  it("a nozzle of 1.27 mm and 20° seen from the side is as wide at 10 mm as its cone, and open where its length is not stated", () => {
    const view = { ...viewAxes([0, -1, 0], [0, 0, 1]), centreMm: [0, 0, 0] as const, pxPerMm: 10 };
    const { outline, isOpen } = nozzleOutline({ outerDiameterMm: 1.27, coneAngleDeg: 20, lengthMm: 10 }, [0, 0, 0], [0, 0, 1], view, box), across = outline.map(([x]) => x);
    expect(isOpen).toBe(false);
    expect((Math.max(...across) - Math.min(...across)) / 10).toBeCloseTo(1.27 + 2 * 10 * Math.tan(10 * Math.PI / 180), 6);
    expect(nozzleOutline({ outerDiameterMm: 1.27, coneAngleDeg: 20, lengthMm: null }, [0, 0, 0], [0, 0, 1], view, box).isOpen).toBe(true);
  });
});

describe("places", () => {
  const places = new Places(shape, empty);
  it("between two stations lie between them, before the first and after the last at the ends", () => {
    const [a, b] = [places.station(1, 3, 4)!.position, places.station(1, 3, 5)!.position], middle = places.along(1, 3, 2.25)!.position;
    for (const k of [0, 1, 2] as const) expect(middle[k]).toBeCloseTo((a[k] + b[k]) / 2, 5);
    expect(places.along(1, 3, -4)!.position).toEqual(places.station(1, 3, 0)!.position);
    expect(places.along(1, 3, 99)!.position).toEqual(places.station(1, 3, strandOf(empty, 3).sMm.length - 1)!.position);
    expect([places.station(1, 9, 0), places.station(1, 3, 400), places.along(2, 3, 1)]).toEqual([null, null, null]);
  });

  it("of a body off the path lie where the layer's map has it, on the target beside its strand", () => {
    const at = places.station(1, 3, 20)!, aside: SheetFinding = { layer: 1, strand: 3, sMm: 10, offPath: true, xMm: strandOf(empty, 3).xMm[20]! + 0.4, yMm: strandOf(empty, 3).yMm[20]! + 2 } as SheetFinding, place = places.finding(aside)!;
    const [dx, dy, dz] = [0, 1, 2].map((k) => place[k as 0] - at.position[k as 0]) as [number, number, number];
    expect(Math.hypot(dx, dy, dz)).toBeCloseTo(Math.hypot(0.4, 2), 1);
    expect(dx * at.normal[0] + dy * at.normal[1] + dz * at.normal[2]).toBeCloseTo(0, 3);
  });
});
