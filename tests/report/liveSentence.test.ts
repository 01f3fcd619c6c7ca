import { describe, expect, it } from "vitest";
import { OLD_S, ageWords, liveSentence, type LiveNow } from "../../lib/report/liveSentence.ts";

const gap = { title: "Strand 5 of layer 1 has a gap of 2.6 mm at 6.0 mm", advice: "Fill it, or take the strand off and lay it again, before a layer covers it.", state: "unacknowledged", isOn: true, disposition: null } as const;
const silent = { title: "Profiler-1 has sent nothing for 3.2 s", advice: "Pause, then look at its cable.", state: "acknowledged", isOn: true, disposition: null } as const;
const base: LiveNow = {
  state: "live", isEnding: false, alerts: [], early: null, newestAgeS: 0.4, nozzle: { layer: 2, strand: 3, behindMm: 3.71, isLaying: true }, backlogS: 0, layerCount: 4, stationCount: 1284, measuredCount: 317, failure: null,
};
const say = (now: Partial<LiveNow>) => liveSentence({ ...base, ...now });

describe("an age in two digits", () => {
  it.each([[0.04, "0.0 s"], [9.94, "9.9 s"], [9.96, "10 s"], [119.4, "119 s"], [119.6, "2 min"], [7160, "119 min"], [7180, "2.0 h"], [36_500, "10 h"], [170_900, "47 h"], [171_500, "2 days"]])("%f s reads %s", (ageS, words) => {
    expect(ageWords(ageS)).toBe(words);
  });
});

describe("the sentence of a run that lives", () => {
  it("is good so far: where it lays, the newest reading's age, and how far it lies behind the nozzle", () => {
    expect(say({})).toEqual({
      headline: "Good so far. Strand 3 of layer 2 is being laid.", detail: "The newest reading is 0.4 s old, 3.7 mm behind the nozzle; 317 of 1\u2009284 stations measured.", advice: null, isOld: false,
    });
    expect(say({ layerCount: 1 }).headline).toBe("Good so far. Strand 3 is being laid.");
    expect(say({ nozzle: { layer: 2, strand: 3, behindMm: 3.71, isLaying: false } }).headline).toBe("Good so far.");
    expect(say({ nozzle: null })).toMatchObject({ headline: "Good so far.", detail: "The newest reading is 0.4 s old; 317 of 1\u2009284 stations measured." });
  });

  it("opens with the first alert that stands, says what to do, and counts the others", () => {
    expect(say({ alerts: [silent, gap] })).toEqual({
      headline: "Profiler-1 has sent nothing for 3.2 s.", detail: "The newest reading is 0.4 s old, 3.7 mm behind the nozzle; 317 of 1\u2009284 stations measured. One more alert stands below.",
      advice: "Pause, then look at its cable.", isOld: false,
    });
    expect(say({ alerts: [{ ...gap, isOn: false, state: "returned" }, silent] }).headline).toBe("Profiler-1 has sent nothing for 3.2 s.");
    expect(say({ alerts: [{ ...gap, isOn: false, state: "returned" }] })).toMatchObject({ headline: "Good so far. Strand 3 of layer 2 is being laid.", advice: null, detail: expect.stringMatching(/ One alert has gone by itself and waits to be acknowledged\.$/) as unknown });
    expect(say({ alerts: [silent, gap, { ...gap, isOn: false, state: "returned" }, { ...gap, isOn: false, state: "returned" }] }).detail).toMatch(/ One more alert stands below\. Two alerts have gone by themselves and wait to be acknowledged\.$/);
    expect(say({ alerts: [{ ...gap, state: "shelved" }] })).toMatchObject({ headline: "Good so far. Strand 3 of layer 2 is being laid.", advice: null });
    expect(say({ alerts: [{ ...gap, disposition: { disposition: "acceptedAsIs", reason: "noMatterForUse", note: "", by: "M. Ort", at: "2026-02-03T09:14:00Z" } }] }).headline).toBe("Good so far. Strand 3 of layer 2 is being laid.");
    expect(say({ alerts: [gap, silent, { ...gap, title: "Another" }] }).detail).toMatch(/ Two more alerts stand below\.$/);
  });

  it("says first what is seen before it is a finding", () => {
    expect(say({ early: "No paste is coming on strand 4 of layer 2 since 0.0 mm", alerts: [gap] })).toMatchObject({
      headline: "No paste is coming on strand 4 of layer 2 since 0.0 mm.", advice: "Pause, and look at the nozzle.", detail: expect.stringMatching(/One more alert stands below\.$/) as unknown,
    });
  });

  it("5 s is not old yet, just over is: it is told first while the print goes on, and not while it is paused", () => {
    expect(say({ newestAgeS: OLD_S })).toMatchObject({ isOld: false, headline: "Good so far. Strand 3 of layer 2 is being laid." });
    expect(say({ newestAgeS: 42.3 })).toMatchObject({ isOld: true, headline: "Nothing new has been seen for 42 s." });
    expect(say({ state: "paused", newestAgeS: 42.3 })).toMatchObject({ isOld: true, headline: "The print is paused." });
    expect(say({ state: "onHold", newestAgeS: 7 }).headline).toBe("The print is on hold, the nozzle drawn back.");
  });

  it("a paused print with an alert says both", () => {
    expect(say({ state: "paused", alerts: [gap] })).toMatchObject({ headline: "Strand 5 of layer 1 has a gap of 2.6 mm at 6.0 mm.", detail: expect.stringMatching(/^The print is paused\. The newest/) as unknown });
  });

  it("says what waits: 0.3 s of the print is nothing, 0.31 s is something", () => {
    expect(say({ backlogS: 0.3 }).detail).not.toContain("wait to be measured");
    expect(say({ backlogS: 0.31 }).detail).toMatch(/ 0\.3 s of the print wait to be measured\.$/);
  });

  it("without a reading it says so: prepared, and live", () => {
    expect(say({ state: "prepared", newestAgeS: null, measuredCount: 0 })).toEqual({ headline: "Prepared: nothing has come of it yet.", detail: "1\u2009284 stations are planned.", advice: null, isOld: false });
    expect(say({ newestAgeS: null, measuredCount: 0, backlogS: 3.1 })).toMatchObject({ headline: "It is being laid. Nothing of it is measured yet.", detail: "1\u2009284 stations are planned. 3.1 s of the print wait to be measured." });
  });

  it("while its end is written, once it is over, and where what came could not be measured", () => {
    expect(say({ isEnding: true, alerts: [gap] })).toMatchObject({ headline: "The end was asked for: all of it is being measured.", detail: "Its sheet follows here." });
    expect(say({ state: "finished" })).toMatchObject({ headline: "The run is over.", detail: "Its sheet stands at this address." });
    expect(say({ state: "aborted", failure: "expected a sensor stream, got none" })).toEqual({
      headline: "The print was aborted. What came of it could not be measured.", detail: "Expected a sensor stream, got none. Everything that came is kept and can be taken out as a run folder.", advice: null, isOld: true,
    });
  });
});
