import { describe, expect, it } from "vitest";
import { ADDRESS_RULE, Delays, NAME_RULE, waitMs, type DelayRule } from "../../../lib/server/people/delays.ts";

const RULE: DelayRule = { freeCount: 2, firstMs: 500, longestMs: 7000, forgetMs: 40_000 };

describe("how long somebody waits", () => {
  it("nothing for 2 failures, 500 ms for the third, then double, at most 7 s", () => {
    expect([0, 1, 2, 3, 4, 5, 6, 7, 8, 1e9].map((count) => waitMs(count, RULE))).toEqual([0, 0, 0, 500, 1000, 2000, 4000, 7000, 7000, 7000]);
  });

  it("of one name: free three times, then from 1 s to a minute; of one address: free twenty times, then from 1 s to 5 min", () => {
    expect([3, 4, 9, 10, 11].map((count) => waitMs(count, NAME_RULE))).toEqual([0, 1000, 32_000, 60_000, 60_000]);
    expect([20, 21, 29, 30].map((count) => waitMs(count, ADDRESS_RULE))).toEqual([0, 1000, 256_000, 300_000]);
  });
});

describe("failures as they come", () => {
  it("wait from the newest one on, each key for itself, to the millisecond", () => {
    const delays = new Delays(RULE);
    for (const atMs of [1000, 1100, 1200]) delays.fail("dana", atMs);
    expect([delays.leftMs("dana", 1200), delays.leftMs("dana", 1699), delays.leftMs("dana", 1700), delays.leftMs("ort", 1200)]).toEqual([500, 1, 0, 0]);
    delays.fail("dana", 1800);
    expect(delays.leftMs("dana", 1900)).toBe(900);
  });

  it("are forgiven once it was right: all of a name's, one of an address's", () => {
    const names = new Delays(RULE), addresses = new Delays(RULE);
    for (let i = 0; i < 4; i++) { names.fail("dana", 2000 + i); addresses.fail("192.0.2.7", 2000 + i); }
    names.forgive("dana", "none");
    addresses.forgive("192.0.2.7", "oneLess");
    expect([names.leftMs("dana", 2003), addresses.leftMs("192.0.2.7", 2003)]).toEqual([0, 500]);
  });

  it("are forgotten when none has come for 40 s, and not a millisecond before", () => {
    const delays = new Delays({ ...RULE, longestMs: 60_000 });
    for (let i = 0; i < 10; i++) delays.fail("dana", 3000);
    expect([delays.leftMs("dana", 42_999) > 0, delays.leftMs("dana", 43_000)]).toEqual([true, 0]);
    delays.fail("dana", 43_001);
    expect(delays.leftMs("dana", 43_001)).toBe(0);
  });

  it("are kept of 3 keys at most, and the one that failed longest ago goes first", () => {
    const delays = new Delays(RULE, 3);
    for (const [i, key] of ["a", "b", "c", "a", "a"].entries()) delays.fail(key, 4000 + i);
    delays.fail("d", 4009);
    expect(delays.size).toBe(3);
    expect([delays.leftMs("a", 4009) > 0, delays.leftMs("d", 4009)]).toEqual([true, 0]);
    delays.fail("b", 4010); // was forgotten: it begins anew
    delays.fail("b", 4011);
    expect(delays.leftMs("b", 4011)).toBe(0);
  });
});
