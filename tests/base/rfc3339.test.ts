import { describe, expect, it } from "vitest";
import { instantMs, spanMs } from "../../lib/base/rfc3339.ts";

describe("RFC 3339", () => {
  it("reads the examples of RFC 3339, 5.8: 1985-04-12T23:20:50.52Z is 482 196 050 520 ms, and offsets of −08:00 and +00:20 count", () => {
    expect(instantMs("1985-04-12T23:20:50.52Z")).toBe(482196050520);
    expect(instantMs("1996-12-19T16:39:57-08:00")).toBe(851042397000);
    expect(instantMs("1996-12-20T00:39:57Z")).toBe(851042397000);
    expect(instantMs("1937-01-01T12:00:27.87+00:20")).toBe(-1041337172130);
  });

  it("a leap second is valid text (RFC 3339, 5.8) in UTC and with an offset, and none in the middle of a day", () => {
    expect(instantMs("1990-12-31T23:59:60Z")).toBe(Date.UTC(1991, 0, 1));
    expect(instantMs("1990-12-31T15:59:60-08:00")).toBe(Date.UTC(1991, 0, 1));
    expect([instantMs("1990-12-31T23:58:60Z"), instantMs("1990-12-31T23:59:61Z"), instantMs("1990-12-31T23:59:60+01:00")]).toEqual([null, null, null]);
  });

  it("keeps microseconds: 2003-08-24T05:14:15.000003-07:00 (RFC 5424, 6.2.3.1) is 0.003 ms after 12:14:15 UTC", () => {
    expect((instantMs("2003-08-24T05:14:15.000003-07:00") ?? 0) - Date.UTC(2003, 7, 24, 12, 14, 15)).toBeCloseTo(0.003, 3);
  });

  it("small letters and a space between date and time are read, as 5.6 allows", () => {
    expect([instantMs("2026-02-03t09:12:00z"), instantMs("2026-02-03 09:12:00Z")]).toEqual([Date.UTC(2026, 1, 3, 9, 12), Date.UTC(2026, 1, 3, 9, 12)]);
  });

  it.each(["", "yesterday", "2026-02-30T09:12:00Z", "2026-13-01T09:12:00Z", "2026-00-10T09:12:00Z", "2026-02-03T24:00:00Z", "2026-02-03T09:60:00Z", "2026-02-03T09:12Z", "2026-02-03T09:12:00", "2026-02-03T09:12:00+24:00", " 2026-02-03T09:12:00Z", "２026-02-03T09:12:00Z"])("“%s” is no instant", (text) => {
    expect(instantMs(text)).toBeNull();
  });

  it("a date is its whole day in UTC, 29 February only in leap years, and an instant is itself", () => {
    expect(spanMs("2024-02-29")).toEqual({ fromMs: Date.UTC(2024, 1, 29), toMs: Date.UTC(2024, 2, 1) - 1 });
    expect([spanMs("2026-02-29"), spanMs("1900-02-29"), spanMs("26-02-03"), spanMs("2026-2-3")]).toEqual([null, null, null, null]);
    expect(spanMs("1996-12-19T16:39:57-08:00")).toEqual({ fromMs: 851042397000, toMs: 851042397000 });
    expect(spanMs("0099-03-01")?.fromMs).toBe(new Date("0099-03-01T00:00:00Z").getTime());
  });
});
