import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { matchesLock, packagesAreInstalled } from "../../scripts/install.mjs";
import { hashInputs, readStamp, withLock, writeStamp } from "../../scripts/stamps.mjs";
import { tempFolder } from "../support/tempStore.ts";

let folder = "";
beforeEach(() => { folder = tempFolder(); });
afterEach(() => rmSync(folder, { recursive: true, force: true }));
const write = (path: string, text: string): void => {
  mkdirSync(join(folder, path, ".."), { recursive: true });
  writeFileSync(join(folder, path), text);
};

describe("the hash of inputs", () => {
  it("changes with content, with a name, with a new file and with the extra text, and with nothing else", () => {
    write("lib/a.ts", "one");
    write("lib/generated/b.ts", "made");
    const hash = (extra = ""): string => hashInputs(folder, ["lib", "absent.json"], { skip: ["generated"], extra });
    const before = hash();
    write("lib/generated/b.ts", "made again");
    write("other.ts", "elsewhere");
    expect(hash()).toBe(before);
    expect(hash("x")).not.toBe(before);
    write("lib/a.ts", "two");
    const changed = hash();
    expect(changed).not.toBe(before);
    write("lib/c.ts", "");
    expect(hash()).not.toBe(changed);
  });

  it("tells content that moved from one file to the next", () => {
    write("lib/a", "xy");
    write("lib/b", "z");
    const before = hashInputs(folder, ["lib"]);
    write("lib/a", "x");
    write("lib/b", "yz");
    expect(hashInputs(folder, ["lib"])).not.toBe(before);
  });
});

describe("stamps", () => {
  it("read back what was written, and null where there is none", () => {
    writeStamp(join(folder, "deep", "stamp"), "abc");
    expect(readStamp(join(folder, "deep", "stamp"))).toBe("abc");
    expect(readStamp(join(folder, "none"))).toBeNull();
  });
});

describe("the lock", () => {
  it("lets one piece of work in at a time", async () => {
    const order: string[] = [];
    const work = (name: string) => withLock(join(folder, "lock"), () => undefined, async () => {
      order.push(`${name} in`);
      await new Promise((done) => { setImmediate(done); });
      order.push(`${name} out`);
    });
    await Promise.all([work("one"), work("two")]);
    expect(order).toEqual(["one in", "one out", "two in", "two out"]);
  });

  it("is taken over from a holder that has died, and is gone after work that failed", async () => {
    writeStamp(join(folder, "lock", "pid"), "2147483646");
    await expect(withLock(join(folder, "lock"), () => undefined, async () => 42)).resolves.toBe(42);
    await expect(withLock(join(folder, "lock"), () => undefined, async () => { throw new RangeError("no"); })).rejects.toThrow(RangeError);
    await expect(withLock(join(folder, "lock"), () => undefined, async () => 43)).resolves.toBe(43);
  });
});

describe("packages that somebody installed by hand", () => {
  const lock = (packages: object): string => JSON.stringify({ packages });
  it("are taken where every package that is needed stands at its version; optional ones may be missing", () => {
    write("package-lock.json", lock({ "": {}, "node_modules/a": { version: "1.2.3" }, "node_modules/b": { version: "4.5.6", optional: true } }));
    expect(matchesLock(folder)).toBe(false);
    write("node_modules/.package-lock.json", lock({ "node_modules/a": { version: "1.2.3" } }));
    expect(matchesLock(folder)).toBe(true);
    write("node_modules/.package-lock.json", lock({ "node_modules/a": { version: "1.2.4" } }));
    expect(matchesLock(folder)).toBe(false);
  });

  it("count as installed only once they are stamped", () => {
    write("package-lock.json", "{}");
    expect(packagesAreInstalled(folder)).toBe(false);
  });
});
