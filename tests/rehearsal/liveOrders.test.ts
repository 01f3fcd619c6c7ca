import { describe, expect, it } from "vitest";
import { resumeRows } from "../../lib/control/resume.ts";
import type { Sweep } from "../../lib/rehearsal/body.ts";
import type { Command } from "../../lib/rehearsal/liveCommand.ts";
import { MadeCell } from "../support/madeCell.ts";

const QUICK = { points: 48, dxMm: 0.3 };
const pause = (n: number, at: "now" | "strandEnd" | "layerEnd", retractMm = 0): Command => ({ kind: "pause", n, at, retractMm, reason: "test" });
const resume = (n: number, layer: number, strand: number, sMm: number, overlapMm = 0): Command => ({ kind: "resume", n, layer, strand, sMm, overlapMm, rows: [] });

/** Stopped at about 5 mm of strand 1, at rest. */
function paused(): MadeCell {
  const made = new MadeCell({ ...QUICK, strands: 3 }).untilLaid(1, 1, 5);
  made.cell.take(pause(1, "now"));
  return made.for(1);
}
const lastReceipt = (made: MadeCell) => made.receipts.at(-1)!;

describe("pause", () => {
  it("now: the receipt comes after 0.15 s, the nozzle stands by then 0.5 mm further on, and no more progress is sent", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5), askedS = made.cell.nowS;
    made.cell.take(pause(4, "now"));
    made.for(3);
    expect(made.receipts).toEqual([{ kind: "receipt", n: 4, outcome: "done", tS: expect.closeTo(askedS + 0.15, 9), note: "paused" }]);
    const last = made.progress.at(-1)!;
    expect([last.event, last.tS - askedS < 0.15]).toEqual(["update", true]);
    expect(last.sMm).toBeCloseTo(5 + 64 / (2 * 8 / 0.13), 1); // v² / 2a
    expect([made.cell.resting, made.cell.stopped.has("command")]).toEqual([true, true]);
  });

  it("a run that is paused sends profiles of what lies under the profiler at 5 Hz, and signals", () => {
    const made = paused(), fromS = made.cell.nowS;
    made.for(2);
    const seen = made.profiles.filter((one) => one.tS > fromS);
    expect(seen.length).toBe(10);
    expect(new Set(seen.map((one) => one.pose.slice(0, 3).join())).size).toBe(1);
    expect(made.signals("flowMm3S").filter((row) => row.tS > fromS).map((row) => row.value)).toEqual(Array.from({ length: 10 }, () => 0));
  });

  it("now, between two strands, and when paused already: done after 0.15 s", () => {
    const between = new MadeCell(QUICK).until(({ work }) => work.newest !== null && work.laying === null && !work.looking), askedS = between.cell.nowS;
    between.cell.take(pause(1, "now"));
    between.for(0.5);
    between.cell.take(pause(2, "strandEnd"));
    between.for(0.5);
    expect(between.receipts.map((one) => [one.n, one.outcome, one.tS])).toEqual([[1, "done", expect.closeTo(askedS + 0.15, 9)], [2, "done", expect.closeTo(askedS + 0.65, 9)]]);
    expect(between.progress.some((row) => row.strand === 2)).toBe(false);
  });

  it("strandEnd: the receipt comes with the strand's end row; the profiler still passes over the end, then the cell stands", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    made.cell.take(pause(1, "strandEnd"));
    made.for(6);
    const end = made.progress.at(-1)!;
    expect([end.event, end.strand, lastReceipt(made).tS, made.cell.resting]).toEqual(["end", 1, end.tS, true]);
    expect(Math.max(...made.profiles.map((one) => one.pose[0]))).toBeGreaterThan(6); // beyond the strand's end at x = 6 mm
  });

  it("layerEnd: the second strand is laid, the second layer is not begun", () => {
    const made = new MadeCell({ ...QUICK, layers: 2, layerAngleDeg: 0, strands: 2 }).untilLaid(1, 1, 3);
    made.cell.take(pause(1, "layerEnd"));
    made.for(15);
    expect(made.progress.filter((row) => row.event === "end").map((row) => [row.layer, row.strand])).toEqual([[1, 1], [1, 2]]);
    expect([lastReceipt(made).outcome, lastReceipt(made).tS, made.cell.resting]).toEqual(["done", made.progress.at(-1)!.tS, true]);
  });

  it("with a retraction of 4 mm the nozzle is lifted so far once it stands", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    made.cell.take(pause(1, "now", 4));
    made.for(1);
    expect(made.cell.work.toolAt(made.cell.nowS).liftMm).toBeCloseTo(4, 9);
    const atEnd = new MadeCell(QUICK).untilLaid(1, 1, 5);
    atEnd.cell.take(pause(1, "strandEnd", 7));
    atEnd.for(6);
    expect([atEnd.cell.work.toolAt(atEnd.cell.nowS).liftMm, lastReceipt(atEnd).tS]).toEqual([expect.closeTo(7, 9), atEnd.progress.at(-1)!.tS]);
  });

  it("now overtakes one that waits for the strand's end: both have their receipt once the nozzle stands", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    made.cell.take(pause(1, "strandEnd"));
    made.cell.take(pause(2, "now"));
    made.for(1);
    expect(made.receipts.map((one) => `${one.n} ${one.outcome}`).toSorted()).toEqual(["1 done", "2 done"]);
  });
});

describe("resume", () => {
  it("goes on from there after 0.15 s, and the plan's whole length is laid in the end", () => {
    const made = paused(), sMm = made.progress.at(-1)!.sMm, askedS = made.cell.nowS;
    made.cell.take(resume(2, 1, 1, sMm));
    made.toEnd();
    expect(made.receipts[1]).toMatchObject({ n: 2, outcome: "done", tS: expect.closeTo(askedS + 0.15, 9) });
    const [, again] = made.progress.filter((row) => row.event === "start");
    expect([again!.strand, again!.sMm]).toEqual([1, sMm]);
    expect(made.cell.work.agenda.laidLengthMm).toBeCloseTo(36, 6);
  });

  it("with an overlap of 1 mm the joint is neither thin nor thick: 0.9 to 1.1 of the area; without one it begins thin", () => {
    const jointRatio = (overlapMm: number): number[] => {
      const made = paused(), sMm = made.progress.at(-1)!.sMm;
      made.cell.take(resume(2, 1, 1, sMm, overlapMm));
      made.toEnd();
      const bead = made.cell.work.paste.bodies.find((body) => body.kind === "sweep" && Math.abs(body.fromMm - sMm) < 1e-9) as Sweep, first = bead.arcMm.findIndex((s) => s > sMm);
      return [1, 4, 6].map((k) => (bead.sections[7 * (first + k) + 1]! + bead.sections[7 * (first + k) + 2]!) ** 2 / 0.25);
    };
    for (const ratio of jointRatio(1)) expect(Math.abs(ratio - 1)).toBeLessThan(0.1);
    expect(Math.min(...jointRatio(0))).toBeLessThan(0.85);
  });

  it.each([[0.12, "taken off"], [0.1 - 1e-6, "going on from"]])("at a place with %f mm of paste beyond it: %s; nothing lies twice in the end", (beyondMm, note) => {
    const made = paused(), sMm = made.progress.at(-1)!.sMm;
    made.cell.take(resume(2, 1, 1, sMm - beyondMm, 1));
    made.for(0.2);
    expect(lastReceipt(made)).toMatchObject({ n: 2, outcome: "done", note: expect.stringContaining(note) });
    made.toEnd();
    expect(made.cell.work.agenda.laidLengthMm).toBeCloseTo(36, 6);
  });

  it("a stretch that was taken off is scanned and laid again up to where paste lies, and the print goes on; measuring has it as attempt 2", () => {
    const made = new MadeCell({ strands: 2, points: 200, dxMm: 0.08 }).untilLaid(1, 2, 6);
    made.cell.take(pause(1, "now"));
    made.for(0.5);
    const sMm = made.progress.at(-1)!.sMm;
    made.cell.cause({ kind: "takeOff", undo: false, place: { layer: 1, strand: 1, fromMm: 4, toMm: 8 } });
    made.cell.take(resume(2, 1, 1, 4));
    made.toEnd();
    const events = made.progress.filter((row) => row.event !== "update").map((row) => [row.strand, row.sMm, row.event]);
    expect(events).toEqual([[1, 0, "start"], [1, 12, "end"], [2, 0, "start"], [1, 4, "start"], [1, 8, "end"], [2, sMm, "start"], [2, 12, "end"]]);
    const result = made.measured(), again = result.stations.find((one) => one.strand === 1 && one.sMm === 6)!;
    expect([again.attempt, Math.abs((again.areaRatio ?? 0) - 1) < 0.06, result.earlierAttempts.length > 0]).toEqual([2, true, true]);
  });

  it("where its own paste lies and rows lay 4 to 8 mm again, whoever stands there has taken that off: no rework row, the layer is scanned, laid to 8 mm, joints within 0.85 to 1.15, then on from where it had stopped", () => {
    const made = new MadeCell({ strands: 3, points: 200, dxMm: 0.08, seed: 5 }).untilLaid(1, 2, 6);
    made.cell.take(pause(1, "now"));
    made.for(0.5);
    const sMm = made.progress.at(-1)!.sMm, askedS = made.cell.nowS, place = { layer: 1, strand: 1, sMm: 4 };
    const rows = resumeRows(made.plan, { from: place, overlapMm: 1, toMm: 8, stoppedAt: { layer: 1, strand: 2, sMm } });
    made.cell.take({ kind: "resume", n: 2, ...place, overlapMm: 1, rows });
    made.toEnd();
    expect(lastReceipt(made)).toMatchObject({ outcome: "done", tS: expect.closeTo(askedS + 0.15, 9), note: "taken off: 4.00 to 8.00 mm of strand 1, layer 1; it is laid again from there" });
    const events = made.progress.filter((row) => row.event !== "update").slice(3).map((row) => [row.strand, expect.closeTo(row.sMm, 5), row.event]);
    expect(events).toEqual([[1, 4, "start"], [1, 8, "end"], [2, sMm, "start"], [2, 12, "end"], [3, 0, "start"], [3, 12, "end"]]);
    expect(made.sent.filter((one) => one.kind === "rework")).toEqual([]);
    const begunS = made.progress.filter((row) => row.event === "start")[2]!.tS, passed = made.profiles.filter((one) => one.tS > askedS + 0.15 && one.tS < begunS && Math.abs(one.pose[1]) < 0.5);
    expect([Math.min(...passed.map((one) => one.pose[0])) < -2.5, Math.max(...passed.map((one) => one.pose[0])) > 2.5]).toEqual([true, true]); // strand 1 runs from x = -6 mm
    made.sent.push({ kind: "rework", tS: askedS, layer: 1, strand: 1, fromMm: 4, toMm: 8, who: "engineer", reason: "a gap" });
    const again = made.measured().stations.filter((one) => one.strand === 1 && one.sMm >= 4 && one.sMm <= 8);
    expect(again.map((one) => [one.attempt, one.measured?.support, Math.abs((one.areaRatio ?? 0) - 1) < 0.15])).toEqual(Array.from({ length: 9 }, () => [2, "measured", true]));
  });

  it("without rows it has been taken off up to where the paste ends; with rows up to the strand's end, all of it", () => {
    for (const toEnd of [false, true]) {
      const made = paused(), sMm = made.progress.at(-1)!.sMm, place = { layer: 1, strand: 1, sMm: 2 };
      made.cell.take({ kind: "resume", n: 2, ...place, overlapMm: 1, rows: toEnd ? resumeRows(made.plan, { from: place, overlapMm: 1, toMm: null, stoppedAt: { layer: 1, strand: 1, sMm } }) : [] });
      made.toEnd();
      expect(lastReceipt(made).note).toBe(`taken off: 2.00 to ${toEnd ? "12.00" : sMm.toFixed(2)} mm of strand 1, layer 1; it is laid again from there`);
      expect(made.progress.filter((row) => row.strand === 1 && row.event !== "update").map((row) => [expect.closeTo(row.sMm, 5), row.event])).toEqual([[0, "start"], [2, "start"], [12, "end"]]);
    }
  });

  it("is refused where paste lies and the rows lay nothing of that strand", () => {
    const made = paused(), rows = resumeRows(made.plan, { from: { layer: 1, strand: 2, sMm: 0 }, overlapMm: 0, toMm: null, stoppedAt: null });
    made.cell.take({ kind: "resume", n: 2, layer: 1, strand: 1, sMm: 3, overlapMm: 0, rows });
    made.for(0.2);
    expect(lastReceipt(made)).toMatchObject({ n: 2, outcome: "refused", note: expect.stringContaining("the rows lay nothing there") });
  });

  it("between two layers a stretch of the first is laid again before the second is begun", () => {
    const made = new MadeCell({ ...QUICK, layers: 2, layerAngleDeg: 0, strands: 2 }).untilLaid(1, 1, 3), place = { layer: 1, strand: 1, sMm: 5 };
    made.cell.take(pause(1, "layerEnd"));
    made.for(15);
    made.cell.take({ kind: "resume", n: 2, ...place, overlapMm: 1, rows: resumeRows(made.plan, { from: place, overlapMm: 1, toMm: 7.5, stoppedAt: { layer: 1, strand: 2, sMm: 12 } }) });
    made.toEnd();
    expect(made.progress.filter((row) => row.event === "start").map((row) => [row.layer, row.strand, row.sMm])).toEqual([[1, 1, 0], [1, 2, 0], [1, 1, 5], [2, 1, 0], [2, 2, 0]]);
    expect(made.cell.work.agenda.laidLengthMm).toBeCloseTo(48, 4);
  });

  it.each([
    ["a strand that is not planned", resume(2, 1, 9, 0), "no strand 9"],
    ["a place beyond the strand's 12 mm", resume(2, 1, 3, 12.02), "ends at 12.00 mm"],
    ["rows that leave the plan", { ...resume(2, 1, 3, 0), rows: [{ layer: 1, strand: 3, xMm: 0, yMm: 2.06, zMm: 0.5, widthMm: null, heightMm: null, speedMmS: null, flowMm3S: null }] } as Command, "0.05 mm off"],
    ["rows with another width", { ...resume(2, 1, 3, 0), rows: [{ layer: 1, strand: 3, xMm: 0, yMm: 2, zMm: 0.5, widthMm: 1.2, heightMm: null, speedMmS: null, flowMm3S: null }] } as Command, "another bead"],
  ])("is refused for %s", (_what, command, note) => {
    const made = paused();
    made.cell.take(command);
    made.for(0.2);
    expect(lastReceipt(made)).toMatchObject({ n: 2, outcome: "refused", note: expect.stringContaining(note) });
    expect(made.cell.stopped.has("command")).toBe(true);
  });

  it("rows on the plan are taken (0.04 mm off, and the planned bead)", () => {
    const made = paused();
    made.cell.take({ ...resume(2, 1, 3, 0), rows: [{ layer: 1, strand: 3, xMm: 0.123, yMm: 2.04, zMm: 0.5, widthMm: 1, heightMm: 0.5, speedMmS: 8, flowMm3S: 4 }] } as Command);
    made.for(0.2);
    expect(lastReceipt(made)).toMatchObject({ n: 2, outcome: "done" });
  });

  it("is refused while the cell prints, and while it still brakes", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    made.cell.take(resume(1, 1, 1, 5));
    made.for(0.2);
    made.cell.take(pause(2, "now"));
    made.for(0.05);
    made.cell.take(resume(3, 1, 1, 6));
    made.for(0.3);
    expect(made.receipts.map((one) => [one.n, one.outcome, one.note])).toEqual([[1, "refused", "the cell is not paused"], [2, "done", "paused"], [3, "refused", "the cell has not come to rest yet"]]);
  });

  it("a pause that comes before the cell has gone on again wins: the resume has failed, and nothing moves", () => {
    const made = paused(), rows = made.progress.length;
    made.cell.take(resume(2, 1, 1, made.progress.at(-1)!.sMm));
    made.for(0.1);
    made.cell.take(pause(3, "now"));
    made.for(2);
    expect(made.receipts.slice(1).map((one) => [one.n, one.outcome])).toEqual([[2, "failed"], [3, "done"]]);
    expect(made.progress.length).toBe(rows);
  });

  it("after a pause at the end of all ends the print", () => {
    const made = new MadeCell({ ...QUICK, strands: 1 }).untilLaid(1, 1, 5);
    made.cell.take(pause(1, "strandEnd"));
    made.for(10);
    expect([made.cell.phase, made.cell.resting]).toEqual(["printing", true]);
    made.cell.take(resume(2, 1, 1, 12));
    made.for(1);
    expect([made.cell.phase, lastReceipt(made).outcome]).toEqual(["finished", "done"]);
  });
});

describe("flowFactor", () => {
  it("1.2 from 6 mm on: before it nothing changes, after it the bead's height is √1.2 of the twin's, and the signal says so", () => {
    const made = new MadeCell({ ...QUICK, strands: 1 }), twin = new MadeCell({ ...QUICK, strands: 1 }).toEnd();
    made.cell.take({ kind: "flowFactor", n: 1, factor: 1.2, layer: 1, strand: 1, fromMm: 6 });
    made.toEnd();
    const [a, b] = [made, twin].map(({ cell }) => cell.work.paste.bodies[0] as Sweep) as [Sweep, Sweep];
    const ratioAt = (sMm: number): number => {
      const o = 7 * a.arcMm.findIndex((s) => s >= sMm);
      return (a.sections[o + 1]! + a.sections[o + 2]!) / (b.sections[o + 1]! + b.sections[o + 2]!);
    };
    expect([ratioAt(3), ratioAt(5.9), ratioAt(9)]).toEqual([1, 1, expect.closeTo(Math.sqrt(1.2), 3)]);
    expect(lastReceipt(made)).toMatchObject({ outcome: "done", tS: 0.15 });
    expect([made.signals("flowFactor")[0]!.value, made.signals("flowFactor").at(-1)!.value]).toEqual([1, 1.2]);
  });

  it.each([[0.49, "refused"], [0.5, "done"], [1.5, "done"], [1.51, "refused"]])("%f is %s", (factor, outcome) => {
    const made = new MadeCell(QUICK);
    made.cell.take({ kind: "flowFactor", n: 1, factor, layer: 1, strand: 2, fromMm: 3 });
    expect(made.for(0.2).receipts.map((one) => one.outcome)).toEqual([outcome]);
  });
});

describe("every command", () => {
  it("abort: done after 0.15 s, then nothing moves and nothing is sent any more; later commands are refused at once", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5), askedS = made.cell.nowS;
    made.cell.take({ kind: "abort", n: 1, reason: "smoke" });
    made.for(1);
    expect([made.cell.phase, lastReceipt(made).tS]).toEqual(["aborted", expect.closeTo(askedS + 0.15, 9)]);
    const sent = made.sent.length;
    made.cell.take(pause(2, "now"));
    made.cell.advanceTo(99);
    made.to(99);
    expect(made.sent.slice(sent)).toEqual([{ kind: "receipt", n: 2, outcome: "refused", tS: expect.closeTo(askedS + 0.15, 9), note: "the print is over" }]);
  });

  it("seen before gets the same receipt again and is not carried out twice", () => {
    const made = paused(), first = made.receipts[0]!;
    made.cell.take(resume(2, 1, 1, made.progress.at(-1)!.sMm));
    made.for(1);
    made.cell.take(pause(1, "now"));
    made.for(1);
    expect(made.receipts.map((one) => one.n)).toEqual([1, 2, 1]);
    expect(made.receipts[2]).toEqual(first);
    expect(made.cell.stopped.size).toBe(0);
  });

  it("one that waits for its receipt is taken once, however often it comes", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    for (let i = 0; i < 3; i++) made.cell.take(pause(1, "strandEnd"));
    expect(made.for(6).receipts.map((one) => one.n)).toEqual([1]);
  });

  it("that cannot be read is refused with the reason", () => {
    const made = new MadeCell(QUICK);
    made.cell.take({ kind: "unreadable", n: 6, why: "this cell knows no command \"dance\"" });
    expect(made.for(0.2).receipts).toEqual([{ kind: "receipt", n: 6, outcome: "refused", tS: 0.15, note: "this cell knows no command \"dance\"" }]);
  });
});

describe("the cell by itself", () => {
  it("self-pause: it brakes at once, sends selfPaused 1, and goes on with a resume alone, with selfPaused 0", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    made.cell.selfPause("nobody answers");
    made.for(20);
    expect([made.cell.resting, made.progress.at(-1)!.sMm < 5.6]).toEqual([true, true]);
    made.cell.take(resume(1, 1, 1, made.progress.at(-1)!.sMm));
    made.toEnd();
    expect(made.signals("selfPaused").map((row) => row.value)).toEqual([1, 0]);
    expect(made.cell.work.agenda.laidLengthMm).toBeCloseTo(24, 6);
  });

  it("held by a full queue it is silent once it stands, and goes on from there; a pause that comes meanwhile stays", () => {
    const made = new MadeCell(QUICK).untilLaid(1, 1, 5);
    made.cell.hold();
    made.for(0.3);
    const sent = made.sent.length, sMm = made.progress.at(-1)!.sMm;
    made.for(5);
    expect(made.sent.length).toBe(sent);
    made.cell.release();
    made.for(3);
    expect(made.progress.filter((row) => row.event === "start").map((row) => row.sMm)).toEqual([0, sMm]);
    made.cell.hold();
    made.cell.take(pause(1, "now"));
    made.for(1);
    made.cell.release();
    made.for(1);
    expect([made.cell.resting, lastReceipt(made).outcome]).toEqual([true, "done"]);
  });
});
