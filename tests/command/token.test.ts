import { afterAll, describe, expect, it } from "vitest";
import { tokenOf } from "../../lib/server/tokens.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData();
afterAll(() => data.restore());

describe("token", () => {
  it("prints a new token alone, counts at once, keeps its hash and not its text, and is listed without it", async () => {
    const { code, out } = await command("token", "add", "cell-1"), token = out.trim();
    expect([code, token]).toEqual([0, expect.stringMatching(/^[A-Za-z0-9_-]{43}$/)]);
    expect(tokenOf(sharedStore(), `Bearer ${token}`, 1000).name).toBe("cell-1");
    expect(JSON.stringify(sharedStore().db.prepare(`SELECT * FROM "DeviceToken"`).all())).not.toContain(token);
    expect((await command("token", "list")).out).toMatch(/^cell-1\tall devices\tmade \S+\tlast used 1970-01-01T00:00:01.000Z\tcounts\n$/);
  });

  it("of a device says so, and one that is revoked counts no more; its name stays taken", async () => {
    const token = (await command("token", "add", "cam", "--device", "camera-1")).out.trim();
    expect(tokenOf(sharedStore(), `bearer ${token}`, 2000).device).toBe("camera-1");
    expect((await command("token", "revoke", "cam")).code).toBe(0);
    expect(() => tokenOf(sharedStore(), `Bearer ${token}`, 3000)).toThrow(expect.objectContaining({ code: "wire.noToken" }) as Error);
    expect((await command("token", "list")).out).toMatch(/^cam\tcamera-1\t.*\trevoked \S+$/m);
    expect((await command("token", "add", "cam")).err[0]).toMatch(/^command\.usage: .*cam, which is/);
  });

  it.each([[[]], [["add"]], [["add", "a", "b"]], [["list", "a"]], [["revoke"]], [["revoke", "nobody"]], [["add", "a b"]], [["add", ""]], [["drop", "cell-1"]], [["list", "--device", "x"]], [["add", "x", "--size", "1"]]])("%j is one clear error, exit 2", async (argv) => {
    const { code, out, err } = await command("token", ...argv);
    expect([code, out, err.length]).toEqual([2, "", 1]);
    expect(err[0]).toMatch(/^command\.usage: expected /);
  });

  it("says how it is used", async () => {
    expect((await command("token", "--help")).out).toContain("revoke NAME");
  });
});
