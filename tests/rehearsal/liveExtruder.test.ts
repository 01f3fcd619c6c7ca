import { describe, expect, it } from "vitest";
import { Extruder, FLOW_LAG_S, SYRINGE_AREA_MM2 } from "../../lib/rehearsal/liveExtruder.ts";

describe("Extruder", () => {
  it("after one time constant 63.2 % of 3.7 mm³/s flow, after five 99.3 %", () => {
    const one = new Extruder(500), five = new Extruder(500);
    one.advance(FLOW_LAG_S, 3.7);
    five.advance(5 * FLOW_LAG_S, 3.7);
    expect(one.flowMm3S / 3.7).toBeCloseTo(1 - Math.exp(-1), 9);
    expect(five.flowMm3S / 3.7).toBeCloseTo(1 - Math.exp(-5), 9);
  });

  it("in ten steps as in one; what trails out at the end makes up for what was late, so that no volume is lost", () => {
    const whole = new Extruder(600), parts = new Extruder(600);
    const volume = whole.advance(0.3, 2.9);
    let sum = 0;
    for (let i = 0; i < 10; i++) sum += parts.advance(0.03, 2.9);
    expect(sum).toBeCloseTo(volume, 9);
    expect(volume).toBeLessThan(0.3 * 2.9);
    expect(volume + whole.settle()).toBeCloseTo(0.3 * 2.9, 9);
    expect(whole.leftMm3).toBeCloseTo(600 - 0.87, 9);
  });

  it("the plunger falls with the volume, and an empty syringe gives what is left and then nothing", () => {
    const extruder = new Extruder(5);
    expect(extruder.plungerMm).toBeCloseTo(5 / SYRINGE_AREA_MM2, 12);
    const first = extruder.advance(1, 4), rest = extruder.advance(1, 4);
    expect(first + rest).toBeCloseTo(5, 12);
    expect([extruder.plungerMm, extruder.flowMm3S, extruder.advance(1, 4), extruder.settle()]).toEqual([0, 0, expect.closeTo(0, 12), expect.closeTo(0, 12)]);
  });
});
