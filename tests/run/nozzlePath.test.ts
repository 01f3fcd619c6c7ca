import { describe, expect, it } from "vitest";
import { buildStations } from "../../lib/plan/stations.ts";
import type { ProgressEvent, ProgressMessage } from "../../lib/model/messages.ts";
import { NozzlePath } from "../../lib/run/nozzlePath.ts";
import { madePlan } from "../support/madePlan.ts";

/** Strand 1 from x 0 to 20 mm at 6 mm/s, strand 2 back again 3 mm beside it; both tops 0.5 mm up. */
const PLAN = madePlan([{ strand: 1, points: [[0, 0, 0.5], [20, 0, 0.5]] }, { strand: 2, points: [[20, 3, 0.5], [0, 3, 0.5]] }]);

/** After rows of [s, mm along, event, strand]. */
function nozzle(...rows: readonly (readonly [number, number, ProgressEvent?, number?])[]): (tS: number) => readonly number[] | null {
  const path = new NozzlePath(buildStations(PLAN, 0.5), PLAN);
  for (const [tS, sMm, event = "update", strand = 1] of rows) path.take({ kind: "progress", tS, layer: 1, strand, sMm, event } satisfies ProgressMessage);
  return (tS) => path.at(tS)?.tip ?? null;
}
const at = (x: number, y = 0) => [expect.closeTo(x, 9), expect.closeTo(y, 9), expect.closeTo(0.5, 9)];

describe("where the nozzle is", () => {
  it("between two rows by time, whatever the planned speed, also where no row came for long", () => {
    const tip = nozzle([10, 0, "start"], [11, 4], [21, 9]);
    expect([tip(10), tip(10.25), tip(11), tip(16)]).toEqual([at(0), at(1), at(4), at(6.5)]);
  });

  it("nowhere before the first row, and nowhere after a strand's end until the next one starts", () => {
    const tip = nozzle([10, 0, "start"], [12, 20, "end"], [15, 0, "start", 2], [16, 5, "update", 2]);
    expect([tip(9.999), tip(11.999), tip(12), tip(14.9)]).toEqual([null, at(19.99), null, null]);
    expect([tip(15), tip(15.5)]).toEqual([at(20, 3), at(17.5, 3)]);
  });

  it("after the last row on at the planned 6 mm/s, no further than the strand's end, and nowhere after 3 s of silence", () => {
    const tip = nozzle([10, 0, "start"], [11, 5]);
    expect([tip(11.5), tip(13.4), tip(13.6), tip(14), tip(14.001)]).toEqual([at(8), at(19.4), at(20), at(20), null]);
  });

  it("a strand that starts anew is not reached by interpolation from the one before", () => {
    const tip = nozzle([10, 0, "start"], [11, 5], [12, 0, "start", 1], [13, 4]);
    expect([tip(11.5), tip(12.5)]).toEqual([at(8), at(2)]);
  });

  it("its axis is the plan's normal, between stations turned evenly and of length 1", () => {
    const bent = madePlan([{ strand: 1, points: [[0, 0, 0.5], [20, 0, 0.5]], normals: [[0, 0, 1], [0, 0.6, 0.8]] }]), path = new NozzlePath(buildStations(bent, 0.5), bent);
    path.take({ kind: "progress", tS: 0, layer: 1, strand: 1, sMm: 0, event: "start" });
    path.take({ kind: "progress", tS: 1, layer: 1, strand: 1, sMm: 20, event: "end" });
    expect(path.at(0)?.axis).toEqual([expect.closeTo(0, 9), expect.closeTo(0, 9), expect.closeTo(1, 9)]);
    const axis = path.at(0.5)?.axis as readonly [number, number, number];
    expect(axis[0] ** 2 + axis[1] ** 2 + axis[2] ** 2).toBeCloseTo(1, 12);
    expect(axis[1] / axis[2]).toBeCloseTo(Math.tan(Math.atan2(0.6, 0.8) / 2), 2);
  });

  it("a strand that is not in the plan is nowhere", () => expect(nozzle([10, 0, "start", 9], [11, 4, "update", 9])(10.5)).toBeNull());
});
