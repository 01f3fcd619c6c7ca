import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { faultShare, parseFault, sizeOf, type Fault } from "../../lib/rehearsal/fault.ts";

function codeOf(run: () => unknown): string {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return `${error.code} ${error.place.key}`;
    throw error;
  }
  return "no error";
}

describe("parseFault", () => {
  it("reads gap@1/3/7-9.5 and shift@2/11/0-4.25=-0.6", () => {
    expect(parseFault("gap@1/3/7-9.5")).toEqual({ kind: "gap", layer: 1, strand: 3, fromMm: 7, toMm: 9.5, size: null });
    expect(parseFault("shift@2/11/0-4.25=-0.6")).toEqual({ kind: "shift", layer: 2, strand: 11, fromMm: 0, toMm: 4.25, size: -0.6 });
  });

  it.each([
    "", "gap", "gap@1/3", "gap@1/3/7", "gap@1/3/7-", "hole@1/3/7-9", "gap@0/3/7-9", "gap@1/0/7-9", "gap@1/3/9-7", "gap@1/3/7-7", "gap@1/3/-1-7", "gap@1/3/7-9=1",
    "under@1/3/7-9=1", "under@1/3/7-9=0", "over@1/3/7-9=1", "over@1/3/7-9=4.1", "blob@1/3/7-9=0", "lift@1/3/7-9=-0.1", "drag@1/3/7-9=0", "gap@1/3/1.2.3-9", "under@1/2/3-4=", "tear@1/3/7-9=1", "hang@1/3/7-9=0", "hang@1/3/7-9=50.1",
  ])("refuses %j with command.usage at --fault", (text) => {
    expect(codeOf(() => parseFault(text))).toBe("command.usage --fault");
  });

  it("takes sizes just inside their limits: under 0.999, over 1.001 and 4", () => {
    expect(parseFault("under@1/3/7-9=0.999").size).toBe(0.999);
    expect(parseFault("over@1/3/7-9=1.001").size).toBe(1.001);
    expect([parseFault("hang@1/3/7-9=50").size, parseFault("hang@1/3/7-9=0.1").size]).toEqual([50, 0.1]);
    expect(parseFault("over@1/3/7-9=4").size).toBe(4);
  });
});

describe("faultShare", () => {
  const fault: Fault = { kind: "gap", layer: 1, strand: 1, fromMm: 3, toMm: 8, size: null };

  it("is half at FROM 3 mm and TO 8 mm, 0 and 1 from half a ramp of 0.4 mm beyond", () => {
    expect(faultShare(fault, 3, 20, 0.4)).toBeCloseTo(0.5, 12);
    expect(faultShare(fault, 8, 20, 0.4)).toBeCloseTo(0.5, 12);
    expect(faultShare(fault, 2.8, 20, 0.4)).toBe(0);
    expect(faultShare(fault, 3.21, 20, 0.4)).toBe(1);
    expect(faultShare(fault, 7.79, 20, 0.4)).toBe(1);
    expect(faultShare(fault, 8.21, 20, 0.4)).toBe(0);
  });

  it("is whole up to the ends where the stretch reaches them (0 mm, 12 mm)", () => {
    expect(faultShare({ ...fault, fromMm: 0 }, 0, 12, 0.4)).toBe(1);
    expect(faultShare({ ...fault, toMm: 12 }, 12, 12, 0.4)).toBe(1);
    expect(faultShare({ ...fault, toMm: 11.9 }, 12, 12, 0.4)).toBeLessThan(0.5);
  });
});

describe("sizeOf", () => {
  it("follows the bead 0.8 × 0.3 mm where no size is given: lift 0.15, shift 0.36, drag 2, blob 1.28 mm", () => {
    const bead = { widthMm: 0.8, heightMm: 0.3 };
    const of = (kind: Fault["kind"]): number => sizeOf({ kind, layer: 1, strand: 1, fromMm: 1, toMm: 2, size: null }, bead);
    expect([of("lift"), of("shift"), of("drag"), of("blob")]).toEqual([0.15, expect.closeTo(0.36, 12), 2, expect.closeTo(1.28, 12)]);
    expect([of("gap"), of("under"), of("over"), of("drift")]).toEqual([0, 0.7, 1.4, 60]);
  });
});
