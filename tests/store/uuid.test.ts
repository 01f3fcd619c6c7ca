import { describe, expect, it } from "vitest";
import { uuidV7 } from "../../lib/store/uuid.ts";

describe("UUID version 7", () => {
  it("gives the example of RFC 9562, appendix A.6: 0x017F22E279B0 ms, 0xCC3, 0x18C4DC0C0C07398F", () => {
    // rand_a = CC3 and rand_b = 18C4DC0C0C07398F; version and variant bits of the random bytes are overwritten.
    const random = Uint8Array.from([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
    expect(uuidV7(0x017f22e279b0, random)).toBe("017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
  });

  it("sorts as text by time, 1 ms apart, whatever the random bits", () => {
    expect(uuidV7(1_770_000_000_123, new Uint8Array(10).fill(255)) < uuidV7(1_770_000_000_124, new Uint8Array(10))).toBe(true);
  });

  it("has version 7 and variant 10 for random bytes of all ones and all noughts", () => {
    for (const byte of [0, 255]) expect(uuidV7(1, new Uint8Array(10).fill(byte))).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
  });

  it("refuses a time of 2^48 ms, a negative one, a broken one, and nine random bytes", () => {
    for (const ms of [2 ** 48, -1, 1.5, Number.NaN]) expect(() => uuidV7(ms, new Uint8Array(10))).toThrow(RangeError);
    expect(() => uuidV7(5, new Uint8Array(9))).toThrow(RangeError);
  });
});
