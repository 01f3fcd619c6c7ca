/** `npm test`: lint, types, architecture, units, integration, browser; from a clone with nothing installed too. */
import { requireNode } from "./node-version.mjs";

requireNode();
void import("./test-parts.mjs").then((module) => module.testAll());
