import { spawnSync } from "node:child_process";
import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { canonicalJson } from "../../lib/log/canonical.ts";
import { chainEntry, EMPTY_LOG, entryLine, hashOf } from "../../lib/log/entries.ts";
import { sha256Hex } from "../../lib/log/hash.ts";
import { isPortableText, portableText, requirePortable } from "../../lib/log/portable.ts";

/** The double of this bit pattern, 16 hex digits. */
const double = (hex: string): number => Buffer.from(hex, "hex").readDoubleBE(0);
const HAS_JQ = spawnSync("jq", ["--version"]).status === 0;

describe("SHA-256", () => {
  it("gives the examples of FIPS 180-4: nothing, abc, 448 and 896 bits, a million a", () => {
    const of: Readonly<Record<string, string>> = {
      "": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
      abc: "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
      abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq: "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
      abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu: "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
      ["a".repeat(1e6)]: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
    };
    for (const [text, hash] of Object.entries(of)) expect(sha256Hex(text)).toBe(hash);
  });

  it("pads bytes 0, 1, … of length 55, 56 and 64 right", () => {
    // The last of length 64 as sha256sum and openssl give it, too.
    for (const [length, begins, ends] of [[55, "463eb28e", "9b598b59"], [56, "da2ae4d6", "0895f562"], [64, "fdeab9ac", "d9151108"]] as const) {
      expect(sha256Hex(Uint8Array.from({ length }, (_, i) => i))).toMatch(new RegExp(`^${begins}[0-9a-f]{48}${ends}$`));
    }
  });
});

describe("canonical JSON (RFC 8785)", () => {
  it("gives the output of section 3.2.2, 118 bytes", () => {
    const text = canonicalJson({ numbers: [Number("333333333.33333329"), 1e30, 4.5, 2e-3, 0.000000000000000000000000001], string: "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"/", literals: [null, true, false] });
    expect(text).toBe(String.raw`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`);
    expect(Buffer.byteLength(text)).toBe(118);
    expect(sha256Hex(text)).toBe("2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb");
  });

  it("orders keys by UTF-16 units as in section 3.2.3", () => {
    const keys = ["\u20ac", "\r", "\ufb33", "1", "\u{1f600}", "\u0080", "\u00f6"];
    expect(Object.keys(JSON.parse(canonicalJson(Object.fromEntries(keys.map((key) => [key, 0])))) as object).filter((key) => key !== "1")).toEqual(["\r", "\u0080", "\u00f6", "\u20ac", "\u{1f600}", "\ufb33"]);
    expect(canonicalJson({ "\r": 1, 1: 2 })).toBe(String.raw`{"\r":1,"1":2}`);
  });

  it("writes the doubles of appendix B", () => {
    const of: Readonly<Record<string, string>> = {
      8000000000000000: "0", "0000000000000001": "5e-324", "7fefffffffffffff": "1.7976931348623157e+308", 4430000000000000: "295147905179352830000",
      "44b52d02c7e14af5": "9.999999999999997e+22", "44b52d02c7e14af6": "1e+23", "444b1ae4d6e2ef4f": "999999999999999900000", "444b1ae4d6e2ef50": "1e+21",
      "3eb0c6f7a0b5ed8c": "9.999999999999997e-7", "3eb0c6f7a0b5ed8d": "0.000001", "41b3de4355555557": "333333333.33333343", becbf647612f3696: "-0.0000033333333333333333",
      "43143ff3c1cb0959": "1424953923781206.2",
    };
    for (const [hex, text] of Object.entries(of)) expect(canonicalJson(double(hex))).toBe(text);
  });

  it("refuses NaN, infinities, lone surrogates in texts and keys, and undefined", () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, "\ud800", "a\udc00b", { "\ud83d": 1 }, [Number.NaN]]) expect(() => canonicalJson(value)).toThrow(RangeError);
    expect(() => canonicalJson(undefined)).toThrow(TypeError);
  });
});

describe("the chain of hashes", () => {
  it("gives the three hashes of a chain that was computed apart", () => {
    const first = hashOf({ prev: EMPTY_LOG.hash, seq: 1, t: "2026-01-01T00:00:00.000Z", type: "run.start" });
    const second = hashOf({ layer: 1, prev: first, seq: 2, t: "2026-01-01T00:00:01.000Z", type: "layer.start" });
    const third = hashOf({ code: "UNDER", prev: second, seq: 3, t: "2026-01-01T00:00:02.000Z", type: "alert.raised" });
    expect([first, second, third]).toEqual([
      "2187136bb7e108effa282a84c27d938bb6de6937e040d8da537c118c044d4ef5", "48c787d601d01a8933f57159208fd9aa4e030f6a1179da0fd4419ae1c4377881",
      "9187e940fad41326e186a2a8c6314364b486eb7a0d392668ebd38557bd5da7c9",
    ]);
  });

  it("an entry's line has the eight keys in order, and its hash is that of the line without it", () => {
    const entry = chainEntry("r1", { seq: 4, hash: "ab".repeat(32) }, { actor: "Zoë", at: "2026-02-03T09:12:00.000Z", kind: "note.added", payload: { layer: 1, strand: 2, sMm: 3.5, text: "schräg" } });
    const line = entryLine(entry);
    expect(Object.keys(JSON.parse(line) as object)).toEqual(["actor", "at", "hash", "kind", "payload", "prev", "runId", "seq"]);
    expect(sha256Hex(line.replace(/"hash":"[0-9a-f]{64}",/, ""))).toBe(entry.hash);
    expect([entry.seq, entry.prev]).toEqual([5, "ab".repeat(32)]);
  });
});

describe("what an entry may hold", () => {
  it("plain decimals from 0.0001 to below 1e15, ASCII keys, whole characters; nothing else", () => {
    for (const fits of [0, 1e-4, -1e-4, 999_999_999_999_999, { a: [{ b: "ä\u{1f600}" }] }]) expect(() => requirePortable(fits)).not.toThrow();
    for (const bad of [9.9e-5, 1e15, Number.NaN, "\u007f", "\ud800", { "ä": 1 }, { a: [{ b: 1e-9 }] }]) expect(() => requirePortable(bad)).toThrow(RangeError);
    expect(() => requirePortable({ a: [{ b: 1e-9 }] })).toThrow("payload.a.0.b");
  });

  it("what came in is told from what everybody prints alike", () => {
    expect([isPortableText("µ-€"), isPortableText("a\u007f"), isPortableText("\udc00")]).toEqual([true, false, false]);
    expect(portableText("a\u007fb\ud800c\u{1f600}")).toBe("a\ufffdb\ufffdc\u{1f600}");
  });

  it.skipIf(!HAS_JQ)("jq -cS prints 300 such values byte for byte as RFC 8785 does (seed 20)", () => {
    const number = fc.oneof(fc.integer(), fc.integer({ min: 1, max: 1e9 }).map((n) => n / 10_000), fc.double({ min: 1e-4, max: 9e14, noNaN: true }));
    const text = fc.string({ unit: "binary" }).filter(isPortableText);
    const key = fc.string({ unit: "grapheme-ascii" }).filter((each) => each !== "__proto__");
    const value = fc.letrec((tie) => ({ node: fc.oneof({ depthSize: "small" }, number, text, fc.boolean(), fc.constant(null), fc.array(tie("node"), { maxLength: 3 }), fc.dictionary(key, tie("node"), { maxKeys: 4 })) })).node;
    const lines = fc.sample(value, { seed: 20, numRuns: 300 }).map((each) => {
      requirePortable(each);
      return canonicalJson(each);
    });
    expect(spawnSync("jq", ["-cS", "."], { input: lines.join("\n"), maxBuffer: 1e8 }).stdout.toString().trimEnd().split("\n")).toEqual(lines);
  });
});
