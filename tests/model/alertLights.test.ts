import { describe, expect, it } from "vitest";
import { ALERT_PRIORITIES } from "../../lib/model/alert.ts";
import { ALERT_LIGHTS } from "../../lib/model/alertLights.ts";
import { FINDING_MARKS, VERDICT_MARKS } from "../../lib/model/marks.ts";
import { lightComplaint } from "../support/alarmLimits.ts";
import { hueDeg, saturation } from "../support/hue.ts";

describe("alert lights (IEC 60601-1-8, Table 2)", () => {
  it.each(ALERT_PRIORITIES)("%s has a rate, a duty and a hue within the table, on the light and on the dark sheet, and at least 0.75 of saturation (our own)", (priority) => {
    const { light, dark, flashHz, dutyFraction } = ALERT_LIGHTS[priority];
    for (const hex of [light, dark]) {
      expect(lightComplaint(priority, { flashHz, duty: dutyFraction, hueDeg: hueDeg(hex) })).toBeNull();
      expect(saturation(hex)).toBeGreaterThanOrEqual(0.75);
    }
  });

  it.each([
    ["high", 1.39, 0.51, false], ["high", 1.4, 0.52, true], ["high", 2.8, 0.53, true], ["high", 2.81, 0.54, false], ["high", 2, 0.19, false], ["high", 2.1, 0.2, true], ["high", 2.2, 0.6, true], ["high", 2.3, 0.61, false],
    ["medium", 0.39, 0.41, false], ["medium", 0.4, 0.42, true], ["medium", 0.8, 0.43, true], ["medium", 0.81, 0.44, false], ["medium", 0.5, 0.19, false], ["medium", 0.6, 0.2, true], ["medium", 0.7, 0.6, true], ["medium", 0.65, 0.61, false],
    ["high", 1, 0.45, false], ["medium", 1, 0.46, false], ["high", 3, 0.47, false], ["low", 0.6, 0.48, false], ["low", 0, 1, true],
  ] as const)("%s at %d Hz lit for %d of the time: allowed is %s", (priority, flashHz, duty, isAllowed) => {
    expect(lightComplaint(priority, { flashHz, duty, hueDeg: hueDeg(ALERT_LIGHTS[priority].light) }) === null).toBe(isAllowed);
  });

  it("no priority may wear another's colour, but low may be yellow", () => {
    const [red, yellow, cyan] = ALERT_PRIORITIES.map((priority) => hueDeg(ALERT_LIGHTS[priority].light)) as [number, number, number];
    const steady = { flashHz: 0, duty: 1 }, fast = { flashHz: 1.9, duty: 0.4 }, slow = { flashHz: 0.7, duty: 0.3 };
    for (const hue of [yellow, cyan]) expect(lightComplaint("high", { ...fast, hueDeg: hue })).toContain("hue");
    for (const hue of [red, cyan]) expect(lightComplaint("medium", { ...slow, hueDeg: hue })).toContain("hue");
    expect(lightComplaint("low", { ...steady, hueDeg: red })).toContain("hue");
    expect(lightComplaint("low", { ...steady, hueDeg: yellow })).toBeNull();
  });

  it("the fastest flash stays under 3 a second (WCAG 2.2, 2.3.1)", () => {
    expect(Math.max(...ALERT_PRIORITIES.map((priority) => ALERT_LIGHTS[priority].flashHz))).toBeLessThan(3);
  });

  it("three signs and three shapes tell them apart without colour, and no sign is a letter of a finding or verdict", () => {
    const lights = ALERT_PRIORITIES.map((priority) => ALERT_LIGHTS[priority]);
    expect(new Set(lights.map(({ sign }) => sign)).size).toBe(3);
    expect(new Set(lights.map(({ shape }) => shape)).size).toBe(3);
    const letters = [...Object.values(FINDING_MARKS), ...Object.values(VERDICT_MARKS)].map(({ letter }) => letter);
    for (const { sign } of lights) expect(letters).not.toContain(sign);
  });
});
