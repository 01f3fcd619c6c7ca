/** What a server is that keeps runs: for their logs. */
import { readFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import type { LogPayloads } from "../model/log.ts";
import { lookingNeeds, ownKeyIsSet, ownRunsMaySign, rehearsalIsOn, rootFolder } from "./settings.ts";

export type ServerAbout = LogPayloads["server.began"];

/** `moduleUrl`: of a module of the bundle, whose folder is named by the hash of everything that it was made from. Settings are those that bear on a run, and none is a secret. */
export function aboutServer(moduleUrl: string): ServerAbout {
  const { version } = JSON.parse(readFileSync(join(rootFolder(), "package.json"), "utf8")) as { readonly version: string };
  const settings = {
    looking: lookingNeeds() === "nothing" ? "free" : "asks for sign-in", "own runs": ownRunsMaySign() ? "may be signed" : "are not signed", rehearsal: rehearsalIsOn() ? "on" : "off",
    "signing key": ownKeyIsSet() ? "a file of one's own" : "in the data folder",
  };
  return { version, build: basename(dirname(fileURLToPath(moduleUrl))), settings };
}
