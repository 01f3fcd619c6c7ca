import { existsSync } from "node:fs";
import { join } from "node:path";
import { afterEach, describe, expect, it, vi } from "vitest";
import { apiCalls, apiPage } from "../../lib/server/wire/apiPage.ts";
import { WIRE_ROUTES } from "../../lib/server/wire/routes.ts";
import { ROOT } from "../support/serverProcess.ts";

afterEach(() => vi.unstubAllEnvs());
const call = (method: string, path: string) => apiCalls().find((each) => each.method === method && each.path === path);

describe("the wire as a page", () => {
  it("has every call of the table once, with who may make it", () => {
    expect(apiCalls().map(({ method, path }) => `${method} ${path}`)).toEqual(WIRE_ROUTES.map(({ method, path }) => `${method} ${path}`));
    expect([call("GET", "/health")?.who, call("POST", "/runs/{runId}/profiles")?.who, call("POST", "/runs")?.who]).toEqual(["anybody", "any token that counts", "a token for all of a run’s devices"]);
  });

  it("a new run takes job, planText and planFormat, all needed, and gives 201", () => {
    const { bodies, answers } = call("POST", "/runs") ?? { bodies: [], answers: [] };
    expect(bodies[0]?.shapes[0]?.fields.map(({ name, type, isRequired }) => [name, type, isRequired])).toEqual([["job", "object", true], ["planText", "string", true], ["planFormat", `one of "csv", "gcode"`, true]]);
    expect(answers.map(({ status }) => status)).toContain("201");
  });

  it("commands are four shapes, each with its kind; profiles two media types; what is kept is answered with its keys", () => {
    expect(call("POST", "/runs/{runId}/commands")?.bodies[0]?.shapes.map(({ fields }) => fields[0]?.type)).toEqual([`"pause"`, `"resume"`, `"abort"`, `"flowFactor"`]);
    expect(call("POST", "/runs/{runId}/profiles")?.bodies.map(({ type }) => type)).toEqual(["application/vnd.apache.arrow.stream", "application/x-ndjson"]);
    expect(call("POST", "/runs/{runId}/progress")?.answers[0]?.fields.map(({ name }) => name)).toEqual(["accepted", "duplicates", "rejected", "rejected[].index", "rejected[].reason"]);
    expect(call("GET", "/runs/{runId}/commands")?.query.map(({ name }) => name)).toEqual(["after", "waitS"]);
  });

  it("shows both example clients as they lie in the project", () => {
    vi.stubEnv("ASLAID_ROOT", ROOT);
    const { clients } = apiPage();
    expect(clients.map(({ name }) => [name, existsSync(join(ROOT, name))])).toEqual([["docs/clients/stream.mjs", true], ["docs/clients/stream.py", true]]);
    expect(clients.every(({ text }) => text.includes("/commands?after="))).toBe(true);
  });
});
