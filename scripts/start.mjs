/** `npm start`: everything from a fresh clone to a running server. */
import { requireNode } from "./node-version.mjs";

requireNode();
void import("./start-server.mjs").then((module) => module.startServer());
