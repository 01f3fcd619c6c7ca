/** The real server for a bench. */
import { spawn, type ChildProcess } from "node:child_process";
import { join } from "node:path";
import { rootFolder } from "../server/settings.ts";

/** Starts the server as `npm start` does; resolves once it answers. */
export async function serve(dataFolder: string): Promise<{ readonly url: string; readonly child: ChildProcess }> {
  const child = spawn(process.execPath, [join(rootFolder(), "scripts", "start.mjs")], { cwd: rootFolder(), env: { ...process.env, ASLAID_PORT: "0", ASLAID_HOST: "127.0.0.1", ASLAID_DATA: dataFolder, ASLAID_REHEARSAL: "off" }, stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  for await (const chunk of child.stdout) {
    said += String(chunk);
    const url = /^Aslaid is ready at (http:\/\/\S+)$/m.exec(said)?.[1];
    if (url !== undefined) return { url, child };
  }
  throw new TypeError(`the server did not start: ${said}`);
}
