import { describe, expect, it } from "vitest";
import { pasteClock } from "../../lib/report/pasteClock.ts";

const paste = { workingTimeS: 240, clockStarts: "mixing", mixedAt: "2026-02-03T09:12:00Z" } as const;
const at = (iso: string): number => Date.parse(iso);

describe("the paste's clock", () => {
  it("240 s from its mixing at 09:12:00, of which 96 s are left at 09:14:24, with 61 s to lay", () => {
    expect(pasteClock(paste, at("2026-02-03T09:14:24Z"), 61)).toEqual({ endsAt: "2026-02-03T09:16:00.000Z", leftS: 96, workingTimeS: 240, toPrintS: 61 });
  });

  it("runs on below 0 once it is over, and what is left to lay may be unknown", () => {
    expect(pasteClock(paste, at("2026-02-03T09:16:07Z"), Number.NaN)).toMatchObject({ leftS: -7, toPrintS: null });
  });

  it("there is none without a working time, without a beginning, or where no clock starts", () => {
    expect([{ ...paste, workingTimeS: null }, { ...paste, mixedAt: null }, { ...paste, clockStarts: "none" as const }].map((each) => pasteClock(each, 5, 6))).toEqual([null, null, null]);
    expect(pasteClock({ ...paste, clockStarts: "warming" }, at("2026-02-03T09:15:00Z"), 6)?.leftS).toBe(60);
  });
});
