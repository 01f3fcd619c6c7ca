import { describe, expect, it } from "vitest";
import { Agenda, type ScanPass } from "../../lib/rehearsal/liveAgenda.ts";
import { planStrands } from "../../lib/rehearsal/planned.ts";
import { fillSettings } from "../../lib/rehearsal/settings.ts";
import { makeSurface } from "../../lib/rehearsal/surface.ts";

/** Two layers of two strands of 7 mm. */
function agenda(): Agenda {
  return new Agenda(planStrands(fillSettings({ strands: 2, layers: 2, lengthMm: 7 }), makeSurface("plane", 45)));
}
/** The next task in short. */
function short(one: Agenda): string {
  const task = one.next();
  if (task === null) return "nothing";
  return task.kind === "scan" ? `scan ${task.pass.layer}` : `${task.stretch.strand.layer}/${task.stretch.strand.strand} ${task.stretch.fromMm.toFixed(2)}-${task.stretch.toMm.toFixed(2)}`;
}

describe("Agenda", () => {
  it("goes through the plan strand by strand, each from 0 to its 7 mm, and ends", () => {
    const one = agenda(), seen: string[] = [];
    for (let task = one.next(); task?.kind === "lay"; task = one.next()) {
      seen.push(short(one));
      const index = one.indexOf(task.stretch.strand.layer, task.stretch.strand.strand);
      one.laid(index, task.stretch.fromMm, task.stretch.toMm);
    }
    expect(seen).toEqual(["1/1 0.00-7.00", "1/2 0.00-7.00", "2/1 0.00-7.00", "2/2 0.00-7.00"]);
    expect([short(one), one.laidLengthMm]).toEqual(["nothing", expect.closeTo(28, 9)]);
  });

  it("goes on within a strand, fills what was taken off up to where paste lies, then the rest; a rest of 0.049 mm is none, one of 0.051 is", () => {
    const one = agenda();
    one.laid(0, 0, 3.1);
    one.laid(0, 3.1, 5);
    one.goTo(0, 5);
    expect(short(one)).toBe("1/1 5.00-7.00");
    one.removed(0, 1.25, 2.5);
    expect([short(one), one.attempt(0), one.attempt(1)]).toEqual(["1/1 5.00-7.00", 2, 1]); // what lies behind is not gone back to by itself
    one.goTo(0, 1.25);
    expect(short(one)).toBe("1/1 1.25-2.50");
    one.laid(0, 1.25, 2.5);
    one.laid(0, 5, 6.951);
    expect(short(one)).toBe("1/2 0.00-7.00");
    one.removed(0, 6.949, 6.951);
    one.goTo(0, 1.25);
    expect(short(one)).toBe("1/1 6.95-7.00");
  });

  it("knows what lies at a place and between two", () => {
    const one = agenda();
    one.laid(2, 0.5, 4);
    expect([one.laidAt(2, 0.49), one.laidAt(2, 0.5), one.laidAt(2, 3.99), one.laidAt(2, 4)]).toEqual([null, [0.5, 4], [0.5, 4], null]);
    expect([one.laidBetween(2, 0, 0.5), one.laidBetween(2, 0, 0.51), one.laidBetween(2, 4, 6), one.laidBetween(3, 0, 7)]).toEqual([false, true, false, false]);
  });

  it("a scan comes before the layer that it is owed before, and at the end in any case", () => {
    const one = agenda(), pass = (layer: number): ScanPass => ({ layer, fromMm: 0, toMm: 1, speedMmS: 20, drifts: [], track: { count: 0 } as ScanPass["track"] });
    const [bare, first, last] = [pass(0), pass(1), pass(2)];
    one.owe([last], 3);
    one.owe([first], 2);
    one.owe([bare], 1);
    expect(short(one)).toBe("scan 0");
    one.scanned(bare);
    expect(short(one)).toBe("1/1 0.00-7.00");
    one.goTo(2, 0);
    expect(short(one)).toBe("scan 1");
    one.scanned(first);
    expect([short(one), one.owes(2), one.owes(3)]).toEqual(["2/1 0.00-7.00", false, true]);
    one.laid(2, 0, 7);
    one.laid(3, 0, 7);
    expect(short(one)).toBe("scan 2");
  });
});
