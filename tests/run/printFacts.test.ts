import { describe, expect, it } from "vitest";
import type { Job } from "../../lib/model/job.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { ProgressEvent } from "../../lib/model/messages.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { PrintFacts } from "../../lib/run/printFacts.ts";
import { mountBehind, wholeJob } from "../support/madePreflight.ts";
import { madeJob, madePlan, type MadeStrand } from "../support/madePlan.ts";

/** 12 mm and back 4 mm beside it in layer 1, 9 mm in layer 2; stations every 0.5 mm, 6 mm/s. */
const STRANDS: MadeStrand[] = [
  { strand: 1, points: [[0, 0, 0.5], [12, 0, 0.5]] }, { strand: 2, points: [[12, 4, 0.5], [0, 4, 0.5]] }, { layer: 2, strand: 1, points: [[0, 0, 1], [9, 0, 1]] },
];

/** The facts of a print that a test lays and sees by hand. */
class Print {
  readonly stations: ReturnType<typeof buildStations>;
  readonly print: PrintFacts;
  constructor(job: Job = madeJob(), strands = STRANDS) {
    const plan = madePlan(strands, job);
    this.stations = buildStations(plan, 0.5);
    this.print = new PrintFacts(plan, this.stations, job);
  }
  /** The nozzle at `sMm` of the plan's strand `which`, from 0. */
  at(which: number, sMm: number, event: ProgressEvent = "update"): this {
    const { layer, strand } = this.stations.strands[which]!;
    this.print.progress({ kind: "progress", tS: 10 + which + sMm / 6, layer, strand, sMm, event });
    return this;
  }
  sees(which: number, stations: readonly number[], areaRatio = 0.97): this {
    for (const station of stations) this.print.reading(this.stations.strands[which]!, station, areaRatio);
    return this;
  }
  takenOff(which: number, fromMm: number, toMm: number): this {
    this.print.takenOff(this.stations.strands[which]!, fromMm, toMm);
    return this;
  }
  get facts() { return this.print.facts; }
}
const upTo = (last: number, first = 0): number[] => Array.from({ length: last - first + 1 }, (_, i) => first + i);
const near = (v: number) => expect.closeTo(v, 9);

describe("the nozzle", () => {
  it("is nowhere before progress has come, and no strand that is not planned moves it", () => {
    expect(new Print().facts).toEqual({ nozzle: null, layers: [], unseen: null, early: null });
    const print = new Print().at(0, 3);
    print.print.progress({ kind: "progress", tS: 99, layer: 7, strand: 1, sMm: 1, event: "start" });
    expect(print.facts.nozzle).toMatchObject({ layer: 1, strand: 1, sMm: 3 });
  });

  it("at 4.5 mm of 12 at 6 mm/s is 1.25 s from the strand's end, 2 s more from the layer's and 1.5 s more from the plan's", () => {
    expect(new Print().at(0, 4.5).facts.nozzle).toEqual({
      layer: 1, strand: 1, sMm: 4.5, tS: 10.75, isLaying: true, lengthMm: 12, laidToMm: 4.5, isLastOfLayer: false, next: { layer: 1, strand: 2, sMm: 0 },
      toStrandEndS: near(1.25), toLayerEndS: near(3.25), toPlanEndS: near(4.75), behindMm: null,
    });
  });

  it("on the layer's last strand has the next layer before it, and on the plan's last nothing", () => {
    const print = new Print().at(0, 12, "end").at(1, 12, "end");
    expect(print.facts.nozzle).toMatchObject({ isLaying: false, isLastOfLayer: true, next: { layer: 2, strand: 1, sMm: 0 }, toStrandEndS: near(0), toLayerEndS: near(0), toPlanEndS: near(1.5) });
    expect(print.at(2, 9, "end").facts.nozzle).toMatchObject({ layer: 2, isLastOfLayer: true, next: null, toPlanEndS: near(0) });
  });

  it("is as far ahead of the furthest station seen as it has laid since", () => {
    expect(new Print().at(0, 7.25).sees(0, [9, 4]).facts.nozzle?.behindMm).toEqual(near(2.75));
  });
});

describe("a simulated print of two layers of three strands", () => {
  const made = simulate({ strands: 3, lengthMm: 14, layers: 2, points: 141, dxMm: 0.1 }), { job } = resolveJob(made.jobJson, "job.json"), { plan } = readPlanCsv(made.planCsv, job, "plan.csv");
  it("has as much less to lay as its clock has gone on, to 0.001 s, from message to message of a strand, and nothing at its end; all of its stations are laid", () => {
    const stations = buildStations(plan, job.stationSpacingMm), print = new PrintFacts(plan, stations, job);
    let before = print.facts.nozzle, compared = 0;
    for (const message of made.progress) {
      print.progress(message);
      const { nozzle } = print.facts;
      if (before !== null && nozzle !== null && before.layer === nozzle.layer && before.strand === nozzle.strand) {
        for (const to of ["toStrandEndS", "toLayerEndS", "toPlanEndS"] as const) expect(Math.abs(before[to] - nozzle[to] - (nozzle.tS - before.tS))).toBeLessThan(1e-3);
        compared++;
      }
      before = nozzle;
    }
    expect(compared).toBeGreaterThan(100);
    expect(before).toMatchObject({ layer: 2, strand: 3, next: null, toPlanEndS: near(0) });
    const perLayer = [1, 2].map((layer) => stations.strands.filter((each) => each.layer === layer).reduce((sum, { count }) => sum + count, 0));
    expect(print.facts.layers.map(({ laidCount }) => laidCount)).toEqual(perLayer);
  });
});

describe("what of a layer must have been seen, with the profiler 3 mm behind the nozzle", () => {
  const behind = () => new Print(wholeJob((json) => { json["mounts"] = [mountBehind(3)]; }));
  it("at 8.2 mm: 17 stations are laid, and the 7 that the line has passed by 2 mm are due, or seen whether due or not", () => {
    const print = behind().at(0, 8.2);
    expect(print.facts.layers).toEqual([{ layer: 1, laidCount: 17, dueCount: 7, seenCount: 0 }]);
    expect(print.sees(0, [0, 1, 2, 9]).facts.layers).toEqual([{ layer: 1, laidCount: 17, dueCount: 8, seenCount: 4 }]);
  });

  it("the strand is told as unseen 3 mm beyond that: at 8 mm, not at 7.99 mm; a station seen moves it on; between strands nothing is told", () => {
    const print = behind().at(0, 7.99);
    expect(print.facts.unseen).toBeNull();
    expect(print.at(0, 8.01).facts.unseen).toEqual({ layer: 1, strand: 1, overdueMm: near(3.01) });
    expect(print.sees(0, upTo(3)).facts.unseen).toBeNull();
    expect(print.at(0, 9.99).facts.unseen).toBeNull();
    expect(print.at(0, 10.01).facts.unseen).toEqual({ layer: 1, strand: 1, overdueMm: near(3.01) });
    expect(print.at(0, 12, "end").facts.unseen).toBeNull();
  });
});

describe("a profiler that looks 2 to 12 mm left of the nozzle, 3 mm behind it", () => {
  const aside = () => new Print(wholeJob((json) => { json["mounts"] = [{ ...mountBehind(3), pose: [-3, 7, 60, 0, 0, -Math.SQRT1_2, Math.SQRT1_2] }]; }));
  it("sees the first strand only on the way back beside it: nothing of it is due or told as unseen while it is laid", () => {
    for (const sMm of [6, 9, 11.99]) expect(aside().at(0, sMm).facts).toMatchObject({ unseen: null, layers: [{ dueCount: 0, seenCount: 0 }] });
  });

  it("on the way back, at 9.2 mm, the 9 stations from 8 mm on are due; the second strand, which it never sees, is neither due nor told as unseen", () => {
    expect(aside().at(0, 12, "end").at(1, 9.2).facts).toMatchObject({ unseen: null, layers: [{ layer: 1, laidCount: 25 + 19, dueCount: 9, seenCount: 0 }] });
  });
});

describe("without a mount the print itself tells what is due", () => {
  /** Each station of the first strand is seen `lagMm` after it was laid. */
  const learned = (count: number, lagMm: number): Print => {
    const print = new Print();
    for (const station of upTo(count - 1)) print.at(0, station / 2 + lagMm).sees(0, [station]);
    return print.at(0, 12, "end");
  };
  it("nothing is due after 23 stations seen; after 24, seen 3 mm late, it is 1.5 · 3 + 2 mm after laying, and 3 mm later told", () => {
    expect(learned(23, 3).at(1, 11).facts.unseen).toBeNull();
    const print = learned(24, 3);
    expect(print.at(1, 9.49).facts.unseen).toBeNull();
    expect(print.at(1, 9.51).facts.unseen).toEqual({ layer: 1, strand: 2, overdueMm: near(3.01) });
    expect(print.facts.layers).toEqual([{ layer: 1, laidCount: 25 + 20, dueCount: 25 + 7, seenCount: 24 }]);
  });

  it("a print that is seen later is waited for longer: seen 5 mm late, at 9.51 mm nothing is told, nor up to the end of the strand at 12 mm", () => {
    expect(learned(24, 5).at(1, 9.51).facts.unseen).toBeNull();
    expect(learned(24, 5).at(1, 11.99).facts.unseen).toBeNull();
  });

  it("readings before the first progress teach nothing: they would be due at once", () => {
    expect(new Print().sees(0, upTo(23)).at(0, 12, "end").at(1, 8).facts.unseen).toBeNull();
  });

  it("a layer of which nobody saw anything is due wholly once the next one is begun, and not before", () => {
    const print = new Print().at(0, 12, "end").at(1, 12, "end");
    expect(print.facts.layers).toEqual([{ layer: 1, laidCount: 50, dueCount: 0, seenCount: 0 }]);
    expect(print.at(2, 0, "start").facts.layers).toEqual([{ layer: 1, laidCount: 50, dueCount: 50, seenCount: 0 }, { layer: 2, laidCount: 1, dueCount: 0, seenCount: 0 }]);
    expect(print.sees(0, [7]).facts.layers[0]).toEqual({ layer: 1, laidCount: 50, dueCount: 1, seenCount: 1 });
  });
});

describe("the first word of no paste", () => {
  it("comes with the second station in a row below a quarter of its area, and names where that began", () => {
    const print = new Print().at(0, 6).sees(0, upTo(4)).sees(0, [5], 0.24);
    expect(print.facts.early).toBeNull();
    expect(print.sees(0, [6], 0.04).facts.early).toEqual({ layer: 1, strand: 1, fromMm: 2.5, toMm: 3 });
    expect(print.sees(0, [7], 0.11).facts.early).toEqual({ layer: 1, strand: 1, fromMm: 2.5, toMm: 3.5 });
  });

  it("is none at a quarter, none over a station that was not seen, and gone with the next good one", () => {
    expect(new Print().at(0, 6).sees(0, [0, 1], 0.25).facts.early).toBeNull();
    expect(new Print().at(0, 6).sees(0, [0, 2], 0.03).facts.early).toBeNull();
    expect(new Print().at(0, 6).sees(0, [0, 1, 2], 0.03).sees(0, [3]).facts.early).toBeNull();
  });

  it("is of the strand being laid alone", () => {
    expect(new Print().at(0, 6).sees(0, [0, 1, 2], 0.03).at(1, 1).facts.early).toBeNull();
  });
});

describe("a stretch that was taken off, from 3 to 6 mm of the first strand", () => {
  const taken = () => new Print().at(0, 12, "end").sees(0, upTo(24)).at(1, 5).takenOff(0, 3, 6);
  it("is neither laid nor seen: seven stations fewer of each", () => {
    expect(taken().facts.layers).toEqual([{ layer: 1, laidCount: 25 + 11 - 7, dueCount: 18, seenCount: 18 }]);
  });

  it("while it is laid again 0.25 s are left to its end at 4.5 mm, and of the second strand what was not laid of it", () => {
    expect(taken().at(0, 4.5).facts.nozzle).toMatchObject({ laidToMm: 4.5, toStrandEndS: near(0.25), toLayerEndS: near(0.25 + 7 / 6), next: { layer: 1, strand: 2, sMm: 5 }, isLastOfLayer: false });
  });

  it("laid again, the paste goes on behind it to the strand's end, and next is where the print had stopped", () => {
    expect(taken().at(0, 6, "end").facts.nozzle).toMatchObject({ isLaying: false, laidToMm: 12, toStrandEndS: near(0), next: { layer: 1, strand: 2, sMm: 5 } });
    const last = new Print().at(0, 12, "end").at(1, 12, "end").takenOff(0, 3, 6).at(0, 6, "end");
    expect(last.facts.nozzle).toMatchObject({ strand: 1, isLastOfLayer: true, next: { layer: 2, strand: 1, sMm: 0 } });
  });

  it("takes the furthest station seen back, where the strand's end is taken off", () => {
    expect(new Print().at(0, 12).sees(0, upTo(20)).takenOff(0, 6, 12).facts.nozzle?.behindMm).toEqual(near(12 - 5.5));
  });
});
