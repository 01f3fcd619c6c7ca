/** The measured surface against what truly lies there, and as a reader that is not ours sees its file. */
import { PLYLoader } from "three/examples/jsm/loaders/PLYLoader.js";
import { describe, expect, it } from "vitest";
import { outlineMm } from "../../lib/formula/bead.ts";
import { topDeviationMm, type PlannedTop } from "../../lib/formula/beadTop.ts";
import { axesOfPose, type Pose7, type Vec3 } from "../../lib/kernel/vec.ts";
import type { StrandStations } from "../../lib/model/stations.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { asLaidPly, type AsLaidStrand } from "../../lib/report/asLaidPly.ts";
import { makeVertices, placeRow } from "../../lib/report/asLaidVertices.ts";
import { measureAsLaid, trueDistance, type AsLaidRun } from "../support/asLaidRun.ts";

const HEAD = { runId: "run-7", resultId: "result-8", name: "Größe 2\nb", stamp: "REHEARSAL: invented data" };

function plyOf(run: AsLaidRun, strands = run.plan.strands): Buffer {
  const all = strands.map((strand): AsLaidStrand => ({ place: run.rowsOf(strand).place, rows: () => run.rowsOf(strand).rows }));
  return Buffer.concat([...asLaidPly(HEAD, all)]);
}

interface Vertex { readonly at: Vec3; readonly deviationMm: number; readonly layer: number; readonly strand: number; readonly sMm: number }
interface Mesh { readonly vertices: Vertex[]; readonly faces: [number, number, number][] }

/** As three's loader reads it. */
function readPly(bytes: Buffer): Mesh {
  const loader = new PLYLoader();
  loader.setCustomPropertyNameMapping({ deviation: ["deviation_mm"], layer: ["layer"], strand: ["strand"], s: ["s_mm"] });
  const geometry = loader.parse(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) as ArrayBuffer);
  const of = (name: string, i: number): number => geometry.getAttribute(name).array[i] as number;
  const vertices = Array.from({ length: geometry.getAttribute("position").count }, (_, i): Vertex => ({
    at: [of("position", 3 * i), of("position", 3 * i + 1), of("position", 3 * i + 2)], deviationMm: of("deviation", i), layer: of("layer", i), strand: of("strand", i), sMm: of("s", i),
  }));
  const index = geometry.getIndex()?.array ?? [];
  return { vertices, faces: Array.from({ length: index.length / 3 }, (_, i) => [index[3 * i], index[3 * i + 1], index[3 * i + 2]] as [number, number, number]) };
}

const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

describe("vertices against the truth of rehearsals with 10 µm of sensor noise", () => {
  const CASES: readonly (readonly [string, Partial<RehearsalSettings>])[] = [
    ["plane, stadium", { seed: 31, surface: "plane", shape: "stadium" }],
    ["mandible angle, stadium", { seed: 32, surface: "mandibleAngle", shape: "stadium" }],
    ["mandible angle, segment", { seed: 33, surface: "mandibleAngle", shape: "segment" }],
    ["cylinder of 45 mm, segment", { seed: 34, surface: "cylinder", shape: "segment" }],
    ["plane seen askew by 35° and 15°, stadium", { seed: 35, surface: "plane", shape: "stadium", skewDeg: 35, pitchDeg: 15 }],
    ["two layers of touching strands on a cylinder, stadium", { seed: 36, surface: "cylinder", pattern: "raster", layers: 2, strands: 4, shape: "stadium" }],
  ];
  it.each(CASES)("%s, seed in the settings: rms distance from the true surface under 10 µm, none over 60 µm, 17 vertices a station and more", (_what, more) => {
    const settings = { strands: 3, lengthMm: 10, sigmaMm: 0.01, ...more }, run = measureAsLaid(settings), distance = trueDistance(settings);
    const { vertices } = readPly(plyOf(run));
    const far = vertices.map((v) => distance(v.layer, v.strand, v.sMm, v.at));
    expect(rms(far)).toBeLessThan(0.01);
    expect(Math.max(...far)).toBeLessThan(0.06);
    expect(vertices.length / run.result.summary.measured).toBeGreaterThan(17);
  });
});

describe("the file", () => {
  const run = measureAsLaid({ seed: 41, strands: 2, lengthMm: 8, surface: "mandibleAngle" }), bytes = plyOf(run), { vertices, faces } = readPly(bytes);

  it("says in its header what it is, in ASCII lines: run, result, units, what deviation_mm means, REHEARSAL", () => {
    const header = bytes.subarray(0, bytes.indexOf("end_header")).toString("latin1");
    expect(header.startsWith("ply\nformat binary_little_endian 1.0\n")).toBe(true);
    for (const line of ["comment run run-7", "comment result result-8", "comment name Gr\\u00f6\\u00dfe 2\\u000ab", "comment REHEARSAL: invented data"]) expect(header.split("\n")).toContain(line);
    expect(header).toMatch(/deviation_mm in mm/);
    expect(header).toMatch(/\+ outside: too much paste/);
    expect(header).toMatch(/^[\x20-\x7e\n]*$/);
  });

  it("is as long as its counts say, to the byte", () => {
    expect(bytes.length).toBe(bytes.indexOf("end_header\n") + 11 + 24 * vertices.length + 13 * faces.length);
  });

  it("has faces that look away from the target, each of three vertices of one strand, none longer than 1 mm", () => {
    expect(faces.length).toBeGreaterThan(1.7 * vertices.length);
    for (const face of faces) {
      const [a, b, c] = face.map((i) => vertices[i]!) as [Vertex, Vertex, Vertex];
      const u = a.at.map((x, i) => b.at[i]! - x), v = a.at.map((x, i) => c.at[i]! - x);
      const normal = [u[1]! * v[2]! - u[2]! * v[1]!, u[2]! * v[0]! - u[0]! * v[2]!, u[0]! * v[1]! - u[1]! * v[0]!];
      const strand = run.plan.strands.find((one) => one.layer === a.layer && one.strand === a.strand)!, i = Math.round(a.sMm / run.plan.spacingMm);
      expect(normal.reduce((sum, x, k) => sum + x * strand.frames[12 * Math.min(i, strand.count - 1) + 6 + k]!, 0)).toBeGreaterThan(0);
      expect([b.strand, c.strand]).toEqual([a.strand, a.strand]);
      expect(Math.max(Math.hypot(...u), Math.hypot(...v))).toBeLessThan(1);
    }
  });

  it("uses each edge at most once in each direction: strips without overlaps", () => {
    const edges = new Map<string, number>();
    for (const [a, b, c] of faces) for (const [p, q] of [[a, b], [b, c], [c, a]] as const) edges.set(`${p},${q}`, (edges.get(`${p},${q}`) ?? 0) + 1);
    expect(Math.max(...edges.values())).toBe(1); // each direction once
  });
});

describe("paste that light enters", () => {
  it("seen 0.06 mm too high, which its job states: the flat lies at 0 to 4 µm; where it is not stated it stays 0.06 mm too high (seed 44)", () => {
    const middle = (biasStated: boolean): number => mean(readPly(plyOf(measureAsLaid({ seed: 44, strands: 2, lengthMm: 8, variationFraction: 0, translucentBiasMm: 0.06, biasStated }))).vertices.filter((v) => Math.abs(v.deviationMm - (biasStated ? 0 : 0.06)) < 0.03).map((v) => v.deviationMm));
    expect(Math.abs(middle(true))).toBeLessThan(0.004);
    expect(Math.abs(middle(false) - 0.06)).toBeLessThan(0.006);
  });
});

describe("where a vertex lies along its strand", () => {
  it.each([["plane", 0.001], ["mandibleAngle", 0.02]] as const)("%s, seen askew by 35° and leaning by 15°: each vertex lies in the plane of the profile that saw it, to %s mm, up to 0.2 mm and more beside its station (seed 45)", (surface, mostMm) => {
    const run = measureAsLaid({ seed: 45, strands: 2, lengthMm: 8, surface, skewDeg: 35, pitchDeg: 15 });
    const poses = new Map([...run.rehearsal.profiles()].map(({ seq, pose }) => [seq, [...pose] as unknown as Pose7]));
    let worst = 0, furthest = 0;
    for (const strand of run.plan.strands) {
      const { place, rows } = run.rowsOf(strand), seqs = new Map(run.cutsOf(strand).map((cut) => [cut.stationIndex, cut.seq])), out = makeVertices(place.lattice);
      for (const row of rows) {
        placeRow(place, row, out);
        const { y, t } = axesOfPose(poses.get(seqs.get(row.station)!)!);
        for (let m = 0; m < out.count; m++) {
          worst = Math.max(worst, Math.abs(y.reduce((sum, axis, k) => sum + axis * (out.xyzMm[3 * m + k]! - t[k]!), 0)));
          furthest = Math.max(furthest, Math.abs(out.sMm[m]! - row.sMm));
        }
      }
    }
    expect(worst).toBeLessThan(mostMm);
    expect(furthest).toBeGreaterThan(0.2);
  });
});

describe("what was not seen stays open", () => {
  it("a strand with stations 6 to 9 unseen has no vertex from 2.8 to 4.7 mm and no face across them (seed 42)", () => {
    const run = measureAsLaid({ seed: 42, strands: 1, lengthMm: 8 }), { place, rows } = run.rowsOf(run.plan.strands[0]!);
    const seen = rows.filter((row) => row.station < 6 || row.station > 9);
    const { vertices, faces } = readPly(Buffer.concat([...asLaidPly(HEAD, [{ place, rows: () => seen }])]));
    expect(rows.length - seen.length).toBe(4);
    expect(vertices.filter((v) => v.sMm > 2.8 && v.sMm < 4.7)).toEqual([]);
    for (const face of faces) {
      const s = face.map((i) => vertices[i]!.sMm);
      expect(Math.max(...s) - Math.min(...s)).toBeLessThan(0.9);
    }
  });

  it("nothing was seen: a file with no vertex and no face", () => {
    const run = measureAsLaid({ seed: 43, strands: 1, lengthMm: 2 }), { place } = run.rowsOf(run.plan.strands[0]!);
    const text = Buffer.concat([...asLaidPly({ ...HEAD, stamp: null }, [{ place, rows: () => [] }])]).toString("latin1");
    expect(text).toMatch(/element vertex 0\n/);
    expect(text).toMatch(/element face 0\n/);
    expect(text).not.toMatch(/REHEARSAL/);
  });
});

describe("deviations of known faults", () => {
  const strandOf = (run: AsLaidRun, number: number): { readonly strand: StrandStations; readonly vertices: (Vertex & { readonly b: number })[] } => {
    const strand = run.plan.strands.find((one) => one.strand === number)!;
    const lateral = ({ at, sMm }: Vertex): number => {
      const i = 12 * Math.round(sMm / run.plan.spacingMm); // a straight strand on a plane: any of its frames
      return [0, 1, 2].reduce((sum, k) => sum + (at[k]! - strand.frames[i + k]!) * strand.frames[i + 9 + k]!, 0);
    };
    return { strand, vertices: readPly(plyOf(run, [strand])).vertices.map((v) => ({ ...v, b: lateral(v) })) };
  };

  it("20 % less flow from 4 to 10 mm scales the bead by √0.8: the flat of 1.0 × 0.5 mm lies at −0.0528 mm there and at 0 elsewhere, to 3 µm (seed 51)", () => {
    const run = measureAsLaid({ seed: 51, strands: 2, lengthMm: 14, variationFraction: 0, wanderMm: 0, faults: [{ kind: "under", layer: 1, strand: 1, fromMm: 4, toMm: 10, size: 0.8 }] });
    const { vertices } = strandOf(run, 1), flat = vertices.filter((v) => Math.abs(v.b) < 0.2);
    const meanFrom = (fromMm: number, toMm: number): number => mean(flat.filter((v) => v.sMm > fromMm && v.sMm < toMm).map((v) => v.deviationMm));
    expect(Math.abs(meanFrom(5, 9) - 0.5 * (Math.sqrt(0.8) - 1))).toBeLessThan(0.003);
    expect(Math.abs(meanFrom(11, 13))).toBeLessThan(0.003);
  });

  it("a strand shifted 0.12 mm to its left deviates as the closed form says of its outline shifted by so much, to 12 µm rms; up to +0.1 mm and −0.1 mm (seed 52)", () => {
    const run = measureAsLaid({ seed: 52, strands: 2, lengthMm: 14, variationFraction: 0, wanderMm: 0, faults: [{ kind: "shift", layer: 1, strand: 2, fromMm: 3, toMm: 11, size: 0.12 }] });
    const { vertices } = strandOf(run, 2), moved = vertices.filter((v) => v.sMm > 4 && v.sMm < 10);
    const top: PlannedTop = { shape: "stadium", widthMm: 1, heightMm: 0.5, halfRightMm: 1, halfLeftMm: 1 };
    const off = moved.map((v) => v.deviationMm - topDeviationMm(top, v.b, outlineMm("stadium", 1, 0.5, v.b - 0.12)));
    expect(rms(off)).toBeLessThan(0.012);
    expect(Math.max(...moved.map((v) => v.deviationMm))).toBeGreaterThan(0.1);
    expect(Math.min(...moved.map((v) => v.deviationMm))).toBeLessThan(-0.1);
  });
});
