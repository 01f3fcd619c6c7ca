import { describe, expect, it } from "vitest";
import type { FindForm } from "../../lib/model/findRuns.ts";
import { findErrorSentence, findForm, findSentence, readFindForm } from "../../lib/report/findWords.ts";

const form = (given: Partial<FindForm>): FindForm => findForm(given);
const sentence = (given: Partial<FindForm>, count: number): string => {
  const asked = form(given), { query } = readFindForm(asked);
  return query === null ? "not read" : findSentence(asked, query, count);
};

describe("what is asked", () => {
  it("an instant with an offset is read in UTC: 2026-02-03T09:12:00+01:00 is 08:12, and a date to its last millisecond", () => {
    expect(readFindForm(form({ from: "2026-02-03T09:12:00+01:00", to: "2026-02-04" })).query).toMatchObject({ fromAt: "2026-02-03T08:12:00.000Z", toAt: "2026-02-04T23:59:59.999Z" });
  });

  it("RFC 3339's leap second 1990-12-31T23:59:60Z is read, and a beginning with microseconds is not before itself", () => {
    expect(readFindForm(form({ from: "1990-12-31T23:59:60Z" })).query?.fromAt).toBe("1991-01-01T00:00:00.000Z");
    expect(readFindForm(form({ from: "2003-08-24T05:14:15.000003-07:00", to: "2003-08-24T05:14:15.000003-07:00" })).query).toMatchObject({ fromAt: "2003-08-24T12:14:15.001Z", toAt: "2003-08-24T12:14:15.000Z" });
  });

  it("one error a field, worded expected … got …, and no search beside it", () => {
    const { query, errors } = readFindForm(form({ from: "03.02.2026", to: "2026-02-30", verdict: "good", signed: "maybe", lot: "x".repeat(201) }));
    expect(query).toBeNull();
    expect(Object.keys(errors ?? {}).toSorted()).toEqual(["from", "lot", "signed", "to", "verdict"]);
    expect(errors?.from).toBe("expected a date such as 2026-02-03, or an instant with its offset such as 2026-02-03T09:12:00+01:00 (RFC 3339), got “03.02.2026”");
    expect(findErrorSentence(errors ?? {})).toBe("Nothing was looked for: five fields cannot be read.");
  });

  it("an end before the beginning is an error at the end", () => {
    expect(Object.keys(readFindForm(form({ from: "2026-02-04", to: "2026-02-03" })).errors ?? {})).toEqual(["to"]);
    expect(readFindForm(form({ from: "2026-02-04", to: "2026-02-04" })).errors).toBeNull();
  });

  it("a plus sign that an address turned into a space is one again, and control characters are an error at the field", () => {
    expect(readFindForm(form({ from: "2026-02-03T09:12:00 01:00" })).query?.fromAt).toBe("2026-02-03T08:12:00.000Z");
    expect(Object.keys(readFindForm(form({ text: "a\u0000b", lot: "A1" })).errors ?? {})).toEqual(["text"]);
  });

  it("spaces around are none, a parameter that comes twice counts once, unknown ones do not count", () => {
    expect(findForm({ lot: ["  A1 ", "B2"], colour: "red" })).toMatchObject({ lot: "A1", text: "" });
  });
});

describe("the sentence", () => {
  it("says all that was asked, and how many were found", () => {
    expect(sentence({ text: "plate", from: "2026-02-01", to: "2026-02-28", material: "phosphate", lot: "A1", device: "profiler-1", person: "Dana Reyes", verdict: "notAcceptable", signed: "no" }, 3)).toBe(
      "Runs whose name, specimen or id holds “plate”, from 2026-02-01 to 2026-02-28, with a material that holds “phosphate”, with a lot that holds “A1”, with the device “profiler-1”, in which “Dana Reyes” acted, that are not acceptable, that are not signed: three were found, newest first.");
  });

  it("one, none, all, and none at all", () => {
    expect(sentence({ lot: "A1" }, 1)).toBe("Runs with a lot that holds “A1”: one was found.");
    expect(sentence({ from: "2026-02-03T09:12:00+01:00" }, 0)).toBe("Runs from 2026-02-03 08:12:00 UTC on: none was found.");
    expect(sentence({}, 41)).toBe("All runs: 41 runs, newest first.");
    expect(sentence({}, 0)).toBe("No runs are kept yet.");
  });
});
