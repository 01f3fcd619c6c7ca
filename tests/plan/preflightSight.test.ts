import { describe, expect, it } from "vitest";
import type { Triple } from "../support/madePath.ts";
import type { MadeStrand } from "../support/madePlan.ts";
import { itemsOf, judged, mountBehind, wholeJob } from "../support/madePreflight.ts";

/** One strand of 12 mm along x, or two 2 mm apart, the second laid back; 6 mm/s. */
const ONE: MadeStrand[] = [{ strand: 1, points: [[0, 0, 0.5], [12, 0, 0.5]] }];
const TWO: MadeStrand[] = [...ONE, { strand: 2, points: [[12, 2, 0.5], [0, 2, 0.5]] }];
const behind = (mm: number, withinS = 30) => wholeJob((json) => { json["mounts"] = [mountBehind(mm)]; json["tolerance"].judgeWithinS = withinS; });
/** The line turned by `deg` about the nozzle's axis from square across the travel. */
const turned = (deg: number) => wholeJob((json) => { json["mounts"] = [{ ...mountBehind(0), pose: [0, 0, 60, 0, 0, Math.sin((deg - 90) * Math.PI / 360), Math.cos((deg - 90) * Math.PI / 360)] }]; });

describe("what a profiler on the tool sees", () => {
  it("3 mm behind the nozzle, the last 2.75 mm of a strand never come into view: 12 mm less 3 and half a spacing", () => {
    expect(itemsOf(judged(ONE, behind(3)), "neverSeen")).toMatchObject([{ layer: 1, strand: 1, fromMm: 9.25, toMm: 12, value: 2.75, limit: 0, severity: "watch" }]);
  });

  it("0.26 mm behind, the end is not seen; 0.24 mm behind, within half a spacing, it is", () => {
    expect(itemsOf(judged(ONE, behind(0.26)), "neverSeen")).toMatchObject([{ toMm: 12 }]);
    expect(judged(ONE, behind(0.24)).items).toEqual([]);
  });

  it("ahead of the nozzle it never sees what has been laid", () => {
    expect(itemsOf(judged(ONE, behind(-3)), "neverSeen")).toMatchObject([{ fromMm: 0, toMm: 12, value: 12 }]);
  });

  it("an end seen from the next strand is seen 3 mm of path after that lies beside it, and is no longer unseen", () => {
    const preflight = judged(TWO, behind(3));
    expect(itemsOf(preflight, "seenAfterNext")).toMatchObject([{ layer: 1, strand: 1, fromMm: 9.25, toMm: 12, value: 3, limit: 0, other: { layer: 1, strand: 2 } }]);
    expect(itemsOf(preflight, "neverSeen").map((i) => i.strand)).toEqual([2]);
  });

  it("the detour is 3 to 8 mm and 0.5 to 1.33 s for the first strand, whose ends are seen from the second, and 3 mm for what is seen of the second", () => {
    const [first, second] = judged(TWO, behind(3)).detours;
    expect(first).toMatchObject({ layer: 1, strand: 1, seenMm: 12, leastMm: 3, mostMm: 8, leastS: 0.5, mostS: 1.333333 });
    // its own last station within reach is seen from the end, a quarter of a millimetre early at most
    expect(second).toMatchObject({ layer: 1, strand: 2, leastMm: 3, mostMm: 3, leastS: 0.5, mostS: 0.5, seenMm: 9.25 });
  });

  it("seen 0.5 s after laying is too old for 0.49 s and young enough for 0.51 s", () => {
    expect(itemsOf(judged(ONE, behind(3, 0.49)), "seenTooOld")).toMatchObject([{ fromMm: 0, toMm: 9.25, value: 0.5, limit: 0.49, unit: "s" }]);
    expect(itemsOf(judged(ONE, behind(3, 0.51)), "seenTooOld")).toEqual([]);
  });

  it("a line 46° from square across the strand sees nothing, 44° sees all", () => {
    expect(itemsOf(judged(ONE, turned(46)), "neverSeen")).toMatchObject([{ value: 12 }]);
    expect(itemsOf(judged(ONE, turned(44)), "neverSeen")).toEqual([]);
  });

  it("a line whose 10 mm end 0.7 mm beside the strand does not see its window of 0.8 mm; 0.9 mm does", () => {
    const aside = (mm: number) => wholeJob((json) => { json["mounts"] = [{ ...mountBehind(0), pose: [0, mm, 60, 0, 0, -Math.SQRT1_2, Math.SQRT1_2] }]; });
    expect(itemsOf(judged(ONE, aside(5 - 0.7)), "neverSeen")).toMatchObject([{ value: 12 }]);
    expect(itemsOf(judged(ONE, aside(5 - 0.9)), "neverSeen")).toEqual([]);
  });

  it("what the next layer covers before it is seen stays unseen", () => {
    const preflight = judged([...ONE, { layer: 2, strand: 1, points: [[12, 0, 1], [0, 0, 1]] }], behind(3));
    expect(itemsOf(preflight, "neverSeen").map((i) => [i.layer, i.toMm - i.fromMm])).toEqual([[1, 2.75], [2, 2.75]]);
  });

  it("of two profilers the one without a mount is named, and the other's sight counts", () => {
    const job = wholeJob((json) => { json["devices"] = [...json["devices"], { ...json["devices"][0], id: "profiler-2" }]; });
    const preflight = judged(ONE, job);
    expect(itemsOf(preflight, "neverSeen")).toEqual([]);
    expect(preflight.notChecked.find((n) => n.kind === "neverSeen")?.reason).toContain("profiler-2");
  });
});

describe("moving the plan", () => {
  it("turned by 75° about (1, 2, 2) and moved by (30, −20, 10) mm, every item has the same place, value and limit, and its moved position", () => {
    const a = 75 * Math.PI / 180, n = [1 / 3, 2 / 3, 2 / 3] as const;
    const rotate = (p: Triple): Triple => {
      const d = n[0] * p[0] + n[1] * p[1] + n[2] * p[2], c = Math.cos(a), s = Math.sin(a);
      return [0, 1, 2].map((k) => p[k]! * c + (n[(k + 1) % 3]! * p[(k + 2) % 3]! - n[(k + 2) % 3]! * p[(k + 1) % 3]!) * s + n[k]! * d * (1 - c)) as unknown as Triple;
    };
    const move = (p: Triple): Triple => { const q = rotate(p); return [q[0] + 30, q[1] - 20, q[2] + 10]; };
    const plan: MadeStrand[] = [
      { strand: 1, points: [[0, 0, 2], [12, 0, 2]], widthMm: 2.2, heightMm: 2 }, { strand: 2, points: [[12, 1.75, 0.5], [0, 1.75, 0.5]] }, { strand: 3, points: [[3, -4, 2], [3, 9, 2]], heightMm: 0.5 },
      { layer: 2, strand: 1, points: [[0, 0.1, 2.65], [12, 0.1, 2.65]] },
    ];
    const moved = plan.map((s) => ({ ...s, points: s.points.map(move), normals: rotate([0, 0, 1]) }));
    const [before, after] = [judged(plan, behind(3)), judged(moved, behind(3))];
    const plain = (items: typeof before.items) => items.map(({ kind, layer, strand, value, fromMm, toMm, sMm, limit, other }) => ({ kind, layer, strand, other: other === null ? null : [other.layer, other.strand], numbers: [value, fromMm, toMm, sMm, limit].map((v) => v.toFixed(4)) }));
    expect(new Set(before.items.map((i) => i.kind)).size).toBeGreaterThanOrEqual(5);
    expect(plain(after.items)).toEqual(plain(before.items));
    after.items.forEach((item, i) => move(before.items[i]!.position).forEach((v, k) => expect(item.position[k]).toBeCloseTo(v, 4)));
  });
});
