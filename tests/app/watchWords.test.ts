import { describe, expect, it } from "vitest";
import { agoWords, clockWords, heardWords, newsOf, pasteWords } from "../../app/runs/[id]/live/watchWords.ts";

describe("a clock that counts down", () => {
  it("shows minutes and two digits of seconds, the second that has begun still counting: 155.2 s are 2:36, 59.01 s are 1:00, 3725 s are 1:02:05", () => {
    expect([155.2, 59.01, 59, 3725, 0, 8.5].map(clockWords)).toEqual(["2:36", "1:00", "0:59", "1:02:05", "0:00", "0:09"]);
  });

  it("goes on below zero with a minus", () => {
    expect([-0.4, -12, -73.5].map(clockWords)).toEqual(["−0:01", "−0:12", "−1:14"]);
  });
});

describe("what was heard", () => {
  it("is told with a tenth below 9.95 s, in whole seconds below 119.5 s, then in minutes", () => {
    expect([0.42, 9.94, 9.95, 119.4, 119.5, -0.02].map(agoWords)).toEqual(["0.4 s", "9.9 s", "10 s", "119 s", "2:00", "0.0 s"]);
  });

  it("says silence, and what was never heard", () => {
    expect(heardWords({ name: "profiler", agoS: 0.37, isSilent: false })).toBe("profiler 0.4 s");
    expect(heardWords({ name: "progress", agoS: 12.6, isSilent: true })).toBe("progress silent for 13 s");
    expect(heardWords({ name: "cell", agoS: null, isSilent: true })).toBe("cell not heard");
  });
});

describe("the paste", () => {
  const paste = { endsAt: "2026-02-03T09:20:00.000Z", leftS: 156, workingTimeS: 420, toPrintS: 118 };

  it("is enough where 118 s are left to print and it works for 156 s, and for exactly as long", () => {
    expect(pasteWords(paste, 0)).toEqual({ label: "Paste works for", clock: "2:36", toPrint: "left to print 1:58", isShort: false });
    expect(pasteWords(paste, 38).isShort).toBe(false);
    expect(pasteWords(paste, 38.5).isShort).toBe(true);
  });

  it("says by how much it is too short, counting what went by without word: 60 s of silence leave 96 s for 118 s of print", () => {
    expect(pasteWords(paste, 60)).toMatchObject({ clock: "1:36", toPrint: "left to print 1:58: 0:22 short", isShort: true });
  });

  it("that is over counts up, and an unknown rest is said", () => {
    expect(pasteWords({ ...paste, leftS: -14, toPrintS: null }, 0)).toEqual({ label: "Past its working time by", clock: "0:14", toPrint: "left to print: not known yet", isShort: true });
  });
});

it("an age that has grown is no news, another strand is", () => {
  expect(newsOf("Nothing new has been seen for 12 s.")).toBe(newsOf("Nothing new has been seen for 2.5 h."));
  expect(newsOf("Strand 7 lies 0.34 mm left.")).not.toBe(newsOf("Strand 8 lies 0.34 mm left."));
});
