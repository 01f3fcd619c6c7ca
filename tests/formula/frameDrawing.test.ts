import { expect, test } from "vitest";
import { frameDrawing } from "../../lib/formula/frameDrawing.ts";
import type { FrameLook } from "../../lib/model/frameView.ts";
import { MADE_FRAME, MADE_POSE, MADE_SCENE, madeFramedStrand } from "../support/madeFrame.ts";

/** Similar triangles: the camera stands over (10, 0), tops of layer 1 lie 100 mm before it, the base 100.5, the target's bodies 100.5. */
const topX = (x: number): number => 320 + 800 * (x - 10) / 100, topY = (y: number): number => 240 - 800 * y / 100;
const drawn = frameDrawing(MADE_SCENE), of = (look: FrameLook) => drawn.lines.filter((line) => line.look === look);
/** Farthest from what is wanted, px; drawn to a tenth of a pixel. */
const off = (got: readonly number[] | undefined, want: readonly number[]): number => (got?.length === want.length ? Math.max(...want.map((px, i) => Math.abs((got[i] as number) - px))) : Infinity);
const TENTH = 0.051;

test("present runs along the bead's top from half-way before its first station to half-way after its last", () => {
  const [whole, part] = of("present");
  expect(off(whole?.points.slice(0, 2), [topX(0), topY(-3)])).toBeLessThan(TENTH);
  expect(off(whole?.points.slice(-2), [topX(20), topY(-3)])).toBeLessThan(TENTH);
  expect(off(part?.points.slice(-2), [topX(7.25), topY(0)])).toBeLessThan(TENTH);
});

test("hidden takes over where absent ends, and absent is the outline of the planned bead on its base", () => {
  expect(off(of("hidden")[0]?.points.slice(0, 2), [topX(9.75), topY(0)])).toBeLessThan(TENTH);
  const [gap] = of("absent"), baseX = (x: number): number => 320 + 800 * (x - 10) / 100.5, baseY = (y: number): number => 240 - 800 * y / 100.5;
  expect(gap?.closed).toBe(true);
  expect(off(gap?.points.slice(0, 2), [baseX(7.25), baseY(0.6)])).toBeLessThan(TENTH);
  expect(off(gap?.points.slice(-2), [baseX(7.25), baseY(-0.6)])).toBeLessThan(TENTH);
});

test("a body of 3.1 mm² is a ring of that area as projected, with its area beside it", () => {
  const points = of("body")[0]?.points ?? [];
  let twice = 0;
  for (let i = 0; i < points.length; i += 2) {
    const j = (i + 2) % points.length;
    twice += (points[i] as number) * (points[j + 1] as number) - (points[j] as number) * (points[i + 1] as number);
  }
  const rim = 32 / 2 * Math.sin(2 * Math.PI / 32) / Math.PI; // of a regular polygon against its circle
  expect(Math.abs(twice) / 2).toBeCloseTo(3.1 * (800 / 100.5) ** 2 * rim, -1);
  expect(drawn.tags).toContainEqual(expect.objectContaining({ text: "3.1 mm²" }));
});

test("the one strand of which the frame says nothing has its planned line, masks a rectangle, the chosen station a stroke of 1.8 widths, a finding its letter", () => {
  expect(of("planned").map(({ points }) => points.slice(0, 2))).toEqual([[240, 216]]); // (0, 3): 320 − 8 · 10, 240 − 8 · 3
  expect(of("mask")[0]?.points).toEqual([10, 20, 50, 20, 50, 50, 10, 50]);
  expect(off(of("chosen")[0]?.points, [topX(8.5), topY(-1.08), topX(8.5), topY(1.08)])).toBeLessThan(TENTH);
  expect(off(drawn.tags.flatMap(({ x, y, text }) => (text === "G" ? [x, y] : [])), [topX(8.5), topY(0)])).toBeLessThan(TENTH);
});

test("what the picture does not hold is counted and not drawn: 40 of 80 mm beyond its left edge", () => {
  const long = { ...madeFramedStrand(1, 1, 161), strand: 1 }, whole = { layer: 1, strand: 1, fromMm: 0, toMm: 80, state: "present" as const };
  const beyond = frameDrawing({ ...MADE_SCENE, strands: [long], pose: [80, ...MADE_POSE.slice(1)] as never, frame: { stretches: [whole], bodies: [] }, chosen: null, letters: [] });
  expect(beyond.outsideMm).toBeCloseTo(40, 0); // the left edge sees x = 80 − 320 / 8 = 40 mm
  expect(Math.min(...beyond.lines.filter(({ look }) => look === "present").flatMap(({ points }) => points.filter((_, i) => i % 2 === 0)))).toBeGreaterThanOrEqual(-32.5);
});

test("hidden stretches of a layer beneath are counted and not drawn; a camera that looks away draws nothing of the plan", () => {
  const hidden = MADE_FRAME.stretches.filter(({ state }) => state === "hidden"), over = frameDrawing({ ...MADE_SCENE, layer: 2, strands: [...MADE_SCENE.strands, madeFramedStrand(2, 1)], frame: { stretches: hidden, bodies: [] } });
  expect([over.beneathMm, over.lines.filter(({ look }) => look === "hidden").length]).toEqual([10, 0]);
  const away = frameDrawing({ ...MADE_SCENE, pose: [10, 0, 100.5, 0, 0, 0, 1] });
  expect(away.lines.map(({ look }) => look)).toEqual(["mask"]);
  expect(away.outsideMm).toBeCloseTo(20 + 20, 9);
});
