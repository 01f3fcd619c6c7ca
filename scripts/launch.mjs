/** `node scripts/launch.mjs NAME args…`: makes sure that the command can run, then runs it. Progress goes to stderr, results alone to stdout. */
import { requireNode } from "./node-version.mjs";

requireNode();
void import("./launch-command.mjs").then((module) => module.launch(process.argv.slice(2)));
