import { describe, expect, it } from "vitest";
import { OLD_S, ageWords, liveSentence, type LiveNow } from "../../lib/report/liveSentence.ts";
import type { Finding } from "../../lib/model/result.ts";

const gap: Finding = { kind: "gap", severity: "act", proven: true, layer: 1, strand: 5, fromMm: 6.04, toMm: 8.6, lengthMm: 2.56, position: [1, 2, 3], worst: { metric: "areaRatio", value: 0.02, limit: 0.25 } };
const over: Finding = { kind: "overExtrusion", severity: "watch", proven: false, layer: 2, strand: 3, fromMm: 11.2, toMm: 14.9, lengthMm: 3.7, position: [4, 5, 6], worst: { metric: "areaRatio", value: 1.19, limit: 1.1 } };
const base: LiveNow = { state: "live", isEnding: false, findings: [], newestAgeS: 0.4, backlogS: 0, openCommandCount: 0, stationCount: 1284, measuredCount: 317, failure: null };
const say = (now: Partial<LiveNow>) => liveSentence({ ...base, ...now });

describe("an age in two digits", () => {
  it.each([[0.04, "0.0 s"], [9.94, "9.9 s"], [9.96, "10 s"], [119.4, "119 s"], [119.6, "2 min"], [7160, "119 min"], [7180, "2.0 h"], [36_500, "10 h"], [170_900, "47 h"], [171_500, "2 days"]])("%f s reads %s", (ageS, words) => {
    expect(ageWords(ageS)).toBe(words);
  });
});

describe("the sentence of a run that lives", () => {
  it("says state, nothing found, the newest reading's age and that nothing waits", () => {
    expect(say({})).toEqual({
      headline: "It is being laid. Nothing is found against it so far.", detail: "The newest reading is 0.4 s old; 317 of 1\u2009284 stations have been measured. Nothing waits to be measured.", advice: null, isOld: false,
    });
  });

  it("names the worst of two findings first whatever their order, and what to do about it", () => {
    const { headline, advice } = say({ findings: [over, gap] });
    expect(headline).toBe("It is being laid. Strand 5 of layer 1 has a gap of 2.6 mm at 6.0 mm, and one more finding.");
    expect(advice).toBe("Fill it, or take the strand off and lay it again, before a layer covers it.");
    expect(say({ findings: [over] }).headline).toBe("It is being laid. Strand 3 of layer 2 has too much material over 3.7 mm at 11.2 mm.");
  });

  it("5 s is not old yet, just over is: it is told first while the print goes on, and not again while it is paused", () => {
    expect(say({ newestAgeS: OLD_S })).toMatchObject({ isOld: false, headline: "It is being laid. Nothing is found against it so far." });
    expect(say({ newestAgeS: 42.3 })).toMatchObject({ isOld: true, headline: "It is being laid. Nothing new has been seen for 42 s. Nothing is found against it so far." });
    expect(say({ state: "paused", newestAgeS: 42.3 })).toMatchObject({ isOld: true, headline: "The print is paused. Nothing is found against it so far." });
    expect(say({ state: "onHold", newestAgeS: 7 }).headline).toBe("The print is on hold, the nozzle drawn back. Nothing is found against it so far.");
  });

  it("says what waits: 0.3 s of the print is nothing, 0.31 s is something; one request, and three", () => {
    expect(say({ backlogS: 0.3 }).detail).toMatch(/Nothing waits to be measured\.$/);
    expect(say({ backlogS: 0.31 }).detail).toMatch(/0\.3 s of the print wait to be measured\.$/);
    expect(say({ openCommandCount: 1 }).detail).toMatch(/One request waits for the cell’s answer\.$/);
    expect(say({ backlogS: 12.4, openCommandCount: 3 }).detail).toMatch(/12 s of the print wait to be measured\. Three requests wait for the cell’s answer\.$/);
  });

  it("without a reading it says so: prepared, and live", () => {
    expect(say({ state: "prepared", newestAgeS: null, measuredCount: 0 })).toEqual({ headline: "Prepared: nothing has come of it yet.", detail: "1\u2009284 stations are planned. Nothing waits to be measured.", advice: null, isOld: false });
    expect(say({ newestAgeS: null, measuredCount: 0, backlogS: 3.1 })).toMatchObject({ headline: "It is being laid. Nothing of it has been measured yet.", detail: "1\u2009284 stations are planned. 3.1 s of the print wait to be measured." });
  });

  it("while its end is written, once it is over, and where what came could not be measured", () => {
    expect(say({ isEnding: true, findings: [gap] })).toMatchObject({ headline: "The end was asked for: all of it is being measured.", detail: "Strand 5 of layer 1 has a gap of 2.6 mm at 6.0 mm. Its sheet follows here." });
    expect(say({ state: "finished" })).toMatchObject({ headline: "The run is over.", detail: "Its sheet stands at this address." });
    expect(say({ state: "aborted", failure: "expected a sensor stream, got none" })).toEqual({
      headline: "The print was aborted. What came of it could not be measured.", detail: "Expected a sensor stream, got none. Everything that came is kept and can be taken out as a run folder.", advice: null, isOld: true,
    });
  });
});
