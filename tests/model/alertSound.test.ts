import { describe, expect, it } from "vitest";
import { ALERT_PRIORITIES } from "../../lib/model/alert.ts";
import { PARTIALS, pulsesOf, repeatOf, SOUND_KINDS, type SoundKind } from "../../lib/model/alertSound.ts";
import { burstComplaints, type HeardPulse } from "../support/alarmLimits.ts";

/** What straight ramps make in the air; `edge`: the share of the amplitude at which duration and spacing are read. */
function heard(kind: SoundKind, edge = 0.9): HeardPulse[] {
  return pulsesOf(kind).map(({ startS, rampS, holdS, toneHz }) => ({ startS: startS + edge * rampS, endS: startS + rampS + holdS + (1 - edge) * rampS, riseS: 0.8 * rampS, fallS: 0.8 * rampS, toneHz }));
}
/** A high burst to the table's letter, apart from what is asked. */
function madeHigh({ x = 0.09, durationS = 0.14, rise = 0.16, middleS = 0.8, toneHz = 440 } = {}): HeardPulse[] {
  let startS = 0;
  return [0, x, x, 2 * x + durationS, x, middleS, x, x, 2 * x + durationS, x].map((spacingS, i) => {
    startS += i === 0 ? 0 : spacingS + durationS;
    return { startS, endS: startS + durationS, riseS: rise * durationS, fallS: 0.02, toneHz };
  });
}
function madeEven(count: number, spacingS: number, durationS: number): HeardPulse[] {
  return Array.from({ length: count }, (_, i) => ({ startS: i * (spacingS + durationS), endS: i * (spacingS + durationS) + durationS, riseS: 0.13 * durationS, fallS: 0.03, toneHz: 310 + i }));
}

describe("alert bursts (IEC 60601-1-8, Tables 3 and 4, from memory)", () => {
  it.each(ALERT_PRIORITIES)("%s keeps to the tables, whether durations are read at 90 %% or at 10 %% of the amplitude", (priority) => {
    for (const edge of [0.9, 0.1]) {
      const complaints = burstComplaints(priority, heard(priority, edge), repeatOf(priority).intervalS);
      expect(edge === 0.9 ? complaints : complaints.filter((each) => !/rises|fall/.test(each))).toEqual([]);
    }
  });

  it("the most urgent first: lost, high, medium, low; and the less urgent, the longer the silence: 4, 10, 16 s", () => {
    expect(SOUND_KINDS).toEqual(["lost", "high", "medium", "low"]);
    expect(ALERT_PRIORITIES.map((priority) => repeatOf(priority).intervalS)).toEqual([4, 10, 16]);
  });

  it("a lost screen has the rhythm long, short, long, short and falls from 494 to 330 Hz; in an alert all pulses are equally long", () => {
    const lasts = (kind: SoundKind): number[] => heard(kind).map(({ startS, endS }) => Math.round((endS - startS) * 1000));
    expect(lasts("lost")).toEqual([500, 100, 500, 100]);
    expect(pulsesOf("lost").map(({ toneHz }) => toneHz)).toEqual([494, 494, 330, 330]);
    for (const priority of ALERT_PRIORITIES) expect(new Set(lasts(priority)).size).toBe(1);
  });

  it("five partials of each tone lie in 300 to 4000 Hz and within 15 dB of the fundamental", () => {
    for (const kind of SOUND_KINDS) {
      for (const { toneHz } of pulsesOf(kind)) {
        const counted = PARTIALS.filter((amplitude, i) => (i + 1) * toneHz >= 300 && (i + 1) * toneHz <= 4000 && Math.abs(20 * Math.log10(amplitude)) <= 15);
        expect(counted.length).toBeGreaterThanOrEqual(5);
      }
    }
  });

  it("pulses do not overlap, start at 0 s and stay under an amplitude of 1", () => {
    for (const kind of SOUND_KINDS) {
      const pulses = pulsesOf(kind);
      expect(pulses[0]?.startS).toBeCloseTo(0, 12);
      for (const [i, { startS, rampS, holdS }] of pulses.entries()) expect(startS + 2 * rampS + holdS).toBeLessThan(pulses[i + 1]?.startS ?? Infinity);
      expect(repeatOf(kind).level).toBeLessThan(1);
    }
  });
});

describe("the limits that bursts are held to", () => {
  it.each([
    [{ x: 0.0499 }, false], [{ x: 0.05 }, true], [{ x: 0.125 }, true], [{ x: 0.1251 }, false],
    [{ durationS: 0.0749 }, false], [{ durationS: 0.075 }, true], [{ durationS: 0.2 }, true], [{ durationS: 0.2001 }, false],
    [{ rise: 0.099 }, false], [{ rise: 0.1 }, true], [{ rise: 0.2 }, true], [{ rise: 0.201 }, false],
    [{ middleS: 0.349 }, false], [{ middleS: 0.35 }, true], [{ middleS: 1.3 }, true], [{ middleS: 1.301 }, false],
    [{ toneHz: 149 }, false], [{ toneHz: 150 }, true], [{ toneHz: 1000 }, true], [{ toneHz: 1001 }, false],
  ] as const)("high with %o: allowed is %s", (changed, isAllowed) => {
    expect(burstComplaints("high", madeHigh(changed), 7.5).length === 0).toBe(isAllowed);
  });

  it.each([
    ["medium", 3, 0.1249, 0.17, 9, false], ["medium", 3, 0.125, 0.18, 11, true], ["medium", 3, 0.25, 0.19, 12, true], ["medium", 3, 0.2501, 0.21, 13, false],
    ["medium", 3, 0.15, 0.1249, 14, false], ["medium", 3, 0.16, 0.125, 16, true], ["low", 2, 0.22, 0.25, 17, true], ["low", 2, 0.23, 0.2501, 18, false],
    ["medium", 2, 0.18, 0.2, 8, false], ["medium", 4, 0.19, 0.22, 7, false], ["low", 3, 0.17, 0.16, 19, false],
    ["medium", 3, 0.21, 0.23, 2.49, false], ["medium", 3, 0.24, 0.22, 2.5, true], ["medium", 3, 0.13, 0.2, 30, true], ["medium", 3, 0.14, 0.24, 30.1, false], ["low", 2, 0.2, 0.15, 15, false], ["low", 2, 0.2, 0.14, 15.1, true],
  ] as const)("%s with %d pulses, %d s apart and %d s long, every %d s: allowed is %s", (priority, count, spacingS, durationS, intervalS, isAllowed) => {
    expect(burstComplaints(priority, madeEven(count, spacingS, durationS), intervalS).length === 0).toBe(isAllowed);
  });

  it.each([[2.49, false], [2.5, true], [15, true], [15.1, false]] as const)("high every %d s: allowed is %s", (intervalS, isAllowed) => {
    expect(burstComplaints("high", madeHigh(), intervalS).length === 0).toBe(isAllowed);
  });

  it("ten even pulses are not the rhythm three, two, three, two", () => {
    expect(burstComplaints("high", madeEven(10, 0.11, 0.16), 6)).not.toEqual([]);
  });
});
