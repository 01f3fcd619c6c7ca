import { parseOptions } from "@node-rs/argon2";
import { describe, expect, it } from "vitest";
import type { InputError } from "../../../lib/base/errors.ts";
import { hashPassphrase, isPassphrase, NOBODYS_HASH, requirePassphrase } from "../../../lib/server/people/passphrase.ts";

const codeOf = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    return `${(error as InputError).code} ${(error as InputError).place.key ?? ""}`.trim();
  }
  return "taken";
};
const told = (passphrase: string, name = "Dana Reyes"): string => codeOf(() => requirePassphrase(passphrase, name));

describe("a passphrase", () => {
  it("has 15 characters at least and 500 at most, counted as characters and not as bytes", () => {
    expect([told("wet paste ofoam"), told("wet paste foam")]).toEqual(["taken", "people.badValue passphrase"]);
    expect([told("ÄÖÜßéñçøåþðæœłž"), told("\u{1f5ff}\u{1f600}\u{1f680}\u{1f419}\u{1f9f2}wetfo")]).toEqual(["taken", "people.badValue passphrase"]);
    const long = "wet foam 7 ".repeat(50);
    expect([told(long.slice(0, 500)), told(long.slice(0, 501))]).toEqual(["taken", "people.badValue passphrase"]);
  });

  it("needs no capitals, figures or signs: figures or small letters alone will do", () => {
    expect([told("correcthorsebatterystaple"), told("731940682517394"), told("?!;:,.-_#+*~<>|")]).toEqual(["taken", "taken", "taken"]);
  });

  it.each(["aaaaaaaaaaaaaaaa", "Dana Reyes Dana Reyes", "dana reyes 2026", "passphrasepassphrase", "password password 1", "abcdefghijklmnopqrstuvwxyz", "0123456789012345", "abababababababab"])("that would be tried first is refused: %s", (passphrase) => {
    expect(told(passphrase)).toBe("people.badValue passphrase");
  });
});

describe("what is kept of it", () => {
  it("is argon2id with 19 MiB, two passes, one lane (OWASP's least), salted with 16 bytes each time; nobody's hash is alike", async () => {
    const [one, two] = [await hashPassphrase("wet paste on foam"), await hashPassphrase("wet paste on foam")];
    expect(one).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
    expect(one).not.toBe(two);
    expect(parseOptions(one)).toMatchObject({ memoryCost: 19_456, timeCost: 2, parallelism: 1, outputLen: 32, saltLen: 16 });
    expect(parseOptions(NOBODYS_HASH)).toEqual(parseOptions(one));
  });

  it("knows it again, composed or not, and no other; nobody's hash knows none", async () => {
    const hashed = await hashPassphrase("Zoë legt Strang auf Strang");
    expect([await isPassphrase("Zoë legt Strang auf Strang", hashed), await isPassphrase("Zoe\u0308 legt Strang auf Strang", hashed), await isPassphrase("Zoë legt Strang auf Stran", hashed), await isPassphrase("", null)]).toEqual([true, true, false, false]);
  });

  it("four are worked on at once, a fifth is asked to come again in a second", async () => {
    const works = [0, 1, 2, 3, 4].map((i) => hashPassphrase(`wet paste on foam ${i}`).then(() => "done", (error: InputError & { retryAfterS?: number }) => `${error.code} ${error.retryAfterS}`));
    expect(await Promise.all(works)).toEqual(["done", "done", "done", "done", "people.wait 1"]);
    expect(await hashPassphrase("wet paste on foam 5")).toMatch(/^\$argon2id/);
  });
});
