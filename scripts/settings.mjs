/** Settings of the server, from the environment (see README), checked before anything long begins. */
import { accessSync, constants, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { join, resolve } from "node:path";
import { Stop } from "./stop.mjs";

/** The data folder: a relative ASLAID_DATA is the caller's, the default `data/` is the project's. */
export function absoluteDataFolder(env, root, caller) {
  const given = env.ASLAID_DATA ?? "";
  return given === "" ? join(root, "data") : resolve(caller, given);
}

/** The key file of one's own for the seals: a relative ASLAID_SIGNING_KEY is the caller's; "": none. */
export function absoluteSigningKey(env, caller) {
  const given = env.ASLAID_SIGNING_KEY ?? "";
  return given === "" ? "" : resolve(caller, given);
}

/** @returns {{ host: string, port: number, dataFolder: string, signingKey: string, looking: "free" | "signIn", ownRuns: "refuse" | "sign" }} */
export function readSettings(env, root, caller) {
  const host = (env.ASLAID_HOST ?? "") === "" ? "127.0.0.1" : env.ASLAID_HOST;
  const portText = (env.ASLAID_PORT ?? "") === "" ? "4312" : env.ASLAID_PORT;
  const port = Number(portText);
  if (!/^\d+$/.test(portText) || port > 65535) throw new Stop(`ASLAID_PORT is "${portText}": set it to a port number from 0 (any free one) to 65535.`);
  const looking = (env.ASLAID_LOOKING ?? "") === "" ? "free" : env.ASLAID_LOOKING;
  if (looking !== "free" && looking !== "signIn") throw new Stop(`ASLAID_LOOKING is "${looking}": set it to free or signIn.`);
  const ownRuns = (env.ASLAID_OWN_RUNS ?? "") === "" ? "refuse" : env.ASLAID_OWN_RUNS;
  if (ownRuns !== "refuse" && ownRuns !== "sign") throw new Stop(`ASLAID_OWN_RUNS is "${ownRuns}": set it to refuse, or to sign where one person alone runs and reviews.`);
  return { host, port, dataFolder: absoluteDataFolder(env, root, caller), signingKey: absoluteSigningKey(env, caller), looking, ownRuns };
}

/** Makes the data folder and proves that a file can be written in it. */
export function requireWritable(dataFolder) {
  const probe = join(dataFolder, `.write-test-${process.pid}`);
  try {
    mkdirSync(dataFolder, { recursive: true });
    accessSync(dataFolder, constants.W_OK);
    writeFileSync(probe, "");
    rmSync(probe);
  } catch (error) {
    throw new Stop(`The data folder ${dataFolder} cannot be written (${error.code}): give it to this user, or point ASLAID_DATA at a folder that can be written.`);
  }
}

/** What to say when the server cannot listen; null for an error that is not about the address. */
export function listenComplaint(error, host, port) {
  if (error.code === "EADDRINUSE") return `Port ${port} on ${host} is taken: stop what runs there, or set ASLAID_PORT to a free port.`;
  if (error.code === "EACCES") return `Port ${port} on ${host} is not allowed for this user: set ASLAID_PORT to one from 1024 up.`;
  if (error.code === "EADDRNOTAVAIL" || error.code === "ENOTFOUND") return `${host} is not an address of this machine: set ASLAID_HOST to one that is, for example 127.0.0.1.`;
  return null;
}

/** Opens and closes the port once, so that a busy one is told before minutes of preparation. */
export async function requireFreePort(host, port) {
  await new Promise((done, fail) => {
    const server = createServer();
    server.once("error", (error) => {
      const complaint = listenComplaint(error, host, port);
      fail(complaint === null ? error : new Stop(complaint));
    });
    server.listen(port, host, () => server.close(done));
  });
}
