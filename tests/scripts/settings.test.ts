import { rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { nodeComplaint } from "../../scripts/node-version.mjs";
import { absoluteDataFolder, listenComplaint, readSettings, requireFreePort, requireWritable } from "../../scripts/settings.mjs";
import { Stop } from "../../scripts/stop.mjs";
import { tempFolder } from "../support/tempStore.ts";

describe("settings", () => {
  it("default to 127.0.0.1, port 4312 and the project's data/", () => {
    expect(readSettings({}, "/project", "/somewhere")).toEqual({ host: "127.0.0.1", port: 4312, dataFolder: "/project/data", signingKey: "", looking: "free", ownRuns: "refuse" });
    expect(readSettings({ ASLAID_HOST: "", ASLAID_PORT: "", ASLAID_DATA: "" }, "/project", "/x")).toEqual({ host: "127.0.0.1", port: 4312, dataFolder: "/project/data", signingKey: "", looking: "free", ownRuns: "refuse" });
  });

  it("a relative data folder is the caller's, an absolute one stands", () => {
    expect(absoluteDataFolder({ ASLAID_DATA: "runs" }, "/project", "/home/me")).toBe("/home/me/runs");
    expect(absoluteDataFolder({ ASLAID_DATA: "/srv/runs" }, "/project", "/home/me")).toBe("/srv/runs");
  });

  it("a relative key file is the caller's, none is the empty text", () => {
    expect(readSettings({ ASLAID_SIGNING_KEY: "my.pem" }, "/project", "/home/me").signingKey).toBe("/home/me/my.pem");
    expect(readSettings({ ASLAID_SIGNING_KEY: "" }, "/project", "/home/me").signingKey).toBe("");
  });

  it("looking is free unless told otherwise, and a third word is refused in one sentence", () => {
    expect(["", "free", "signIn"].map((ASLAID_LOOKING) => readSettings({ ASLAID_LOOKING }, "/", "/").looking)).toEqual(["free", "free", "signIn"]);
    expect(() => readSettings({ ASLAID_LOOKING: "never" }, "/", "/")).toThrow(`ASLAID_LOOKING is "never": set it to free or signIn.`);
    expect(["", "refuse", "sign"].map((ASLAID_OWN_RUNS) => readSettings({ ASLAID_OWN_RUNS }, "/", "/").ownRuns)).toEqual(["refuse", "refuse", "sign"]);
    expect(() => readSettings({ ASLAID_OWN_RUNS: "yes" }, "/", "/")).toThrow(`ASLAID_OWN_RUNS is "yes": set it to refuse, or to sign where one person alone runs and reviews.`);
  });

  it("port 65535 and 0 are taken, 65536, -1, 43.5 and words are refused in one sentence", () => {
    expect(readSettings({ ASLAID_PORT: "65535" }, "/", "/").port).toBe(65535);
    expect(readSettings({ ASLAID_PORT: "0" }, "/", "/").port).toBe(0);
    for (const port of ["65536", "-1", "43.5", "http"]) expect(() => readSettings({ ASLAID_PORT: port }, "/", "/")).toThrow(`ASLAID_PORT is "${port}"`);
  });
});

describe("Node", () => {
  it("20.19 and newer fit, 20.18.3 and 18.20.4 are told what to do", () => {
    for (const version of ["20.19.0", "20.20.2", "22.0.0"]) expect(nodeComplaint(version)).toBeNull();
    for (const version of ["20.18.3", "18.20.4"]) expect(nodeComplaint(version)).toBe(`Aslaid needs Node 20.19 or newer and this is ${version}: install a newer Node and start again.`);
  });
});

describe("what can be wrong before a start", () => {
  it("a taken port is one sentence that names the port and the setting", async () => {
    const server = createServer();
    await new Promise<void>((done) => { server.listen(0, "127.0.0.1", done); });
    const { port } = server.address() as AddressInfo;
    await expect(requireFreePort("127.0.0.1", port)).rejects.toThrow(`Port ${port} on 127.0.0.1 is taken: stop what runs there, or set ASLAID_PORT to a free port.`);
    await new Promise((done) => { server.close(done); });
    await expect(requireFreePort("127.0.0.1", port)).resolves.toBeUndefined();
  });

  it("a foreign address and a port below 1024 have sentences of their own, a bug has none", () => {
    expect(listenComplaint({ code: "EADDRNOTAVAIL" }, "192.0.2.1", 4312)).toContain("192.0.2.1 is not an address of this machine");
    expect(listenComplaint({ code: "EACCES" }, "127.0.0.1", 80)).toContain("is not allowed for this user");
    expect(listenComplaint({ code: "EPIPE" }, "127.0.0.1", 4312)).toBeNull();
  });

  it("a data folder that cannot be made or written is a Stop that names it", () => {
    const folder = tempFolder();
    writeFileSync(join(folder, "file"), "");
    expect(() => requireWritable(join(folder, "file", "data"))).toThrow(Stop);
    expect(() => requireWritable(join(folder, "file", "data"))).toThrow(/The data folder .*file\/data cannot be written \(ENOTDIR\)/);
    expect(() => requireWritable(join(folder, "new", "data"))).not.toThrow();
    rmSync(folder, { recursive: true });
  });
});
