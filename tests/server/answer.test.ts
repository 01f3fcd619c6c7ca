import { hostname } from "node:os";
import { afterEach, describe, expect, it, vi } from "vitest";
import { InputError, type InputCode } from "../../lib/base/errors.ts";
import { answer } from "../../lib/server/answer.ts";

const URL_HERE = "http://127.0.0.1:4312/api/imports";

function sent(method: string, headers: Readonly<Record<string, string>>): Request {
  const request = new Request(URL_HERE, { method });
  // Names that a page may not set itself are those that the browser sets; Request refuses them, too.
  return Object.create(request, { headers: { value: new Headers(Object.entries({ host: "127.0.0.1:4312", ...headers })) }, method: { value: method }, url: { value: URL_HERE } }) as Request;
}

async function statusFor(method: string, headers: Readonly<Record<string, string>>): Promise<number> {
  return (await answer(sent(method, headers), "open", () => ({ done: true }))).status;
}

afterEach(() => vi.unstubAllEnvs());

describe("what changes something", () => {
  it.each<[string, Record<string, string>]>([
    ["Sec-Fetch-Site same-origin", { "sec-fetch-site": "same-origin" }],
    ["Origin the same", { origin: "http://127.0.0.1:4312" }],
    ["both", { "sec-fetch-site": "same-origin", origin: "http://127.0.0.1:4312" }],
    ["localhost as its name", { host: "localhost:4312", origin: "http://localhost:4312" }],
    ["the machine's name", { host: `${hostname()}:4312`, "sec-fetch-site": "same-origin" }],
    ["an address of version 6", { host: "[::1]:4312", origin: "http://[::1]:4312" }],
  ])("is done for a page of this server: %s", async (_, headers) => {
    expect(await Promise.all(["POST", "PUT", "DELETE"].map((method) => statusFor(method, headers)))).toEqual([200, 200, 200]);
  });

  it.each<[string, Record<string, string>]>([
    ["neither header", {}],
    ["another site", { "sec-fetch-site": "cross-site" }],
    ["another port of this machine", { "sec-fetch-site": "same-site", origin: "http://127.0.0.1:8080" }],
    ["Origin another", { origin: "http://evil.example" }],
    ["Origin null", { origin: "null" }],
    ["Origin the same, but Sec-Fetch-Site another", { "sec-fetch-site": "cross-site", origin: "http://127.0.0.1:4312" }],
    ["a foreign name that was made to lead here", { host: "evil.example:4312", "sec-fetch-site": "same-origin", origin: "http://evil.example:4312" }],
    ["an address that begins as ours", { origin: "http://127.0.0.1:4312.evil.example" }],
  ])("is refused with 403 and not done for: %s", async (_, headers) => {
    let done = 0;
    const response = await answer(sent("POST", headers), "open", () => ++done);
    expect([response.status, done]).toEqual([403, 0]);
    expect(await response.json()).toMatchObject({ problem: { code: "upload.elsewhere" } });
  });

  it("is done under the name that ASLAID_HOST gives", async () => {
    const headers = { host: "cell-pc:4312", origin: "http://cell-pc:4312" };
    expect(await statusFor("POST", headers)).toBe(403);
    vi.stubEnv("ASLAID_HOST", "cell-pc");
    expect(await statusFor("POST", headers)).toBe(200);
  });
});

it("reading needs no origin, but a name of ours", async () => {
  expect(await statusFor("GET", {})).toBe(200);
  expect(await statusFor("GET", { host: "evil.example" })).toBe(403);
});

describe("errors", () => {
  const failing = (error: unknown): Promise<Response> => answer(sent("GET", {}), "open", () => { throw error; });

  it.each<[InputCode, number]>([
    ["upload.badRequest", 400], ["plan.badNumber", 400], ["upload.unknown", 404], ["upload.over", 409], ["source.tooLarge", 413], ["source.tooMany", 413], ["upload.busy", 503], ["source.diskFull", 507],
  ])("%s is %i", async (code, status) => {
    const response = await failing(new InputError(code, "a", "b", { file: "f.csv", line: 2 }));
    expect([response.status, response.headers.get("retry-after")]).toEqual([status, status === 503 ? "10" : null]);
    expect(await response.json()).toEqual({ problem: { code, message: "expected a, got b", place: { file: "f.csv", line: 2 } } });
  });

  it("of another bundle's class are known by their name", async () => {
    const error = Object.assign(new Error("expected a, got b"), { name: "InputError", code: "upload.over", place: {} });
    expect((await failing(error)).status).toBe(409);
  });

  it("that are bugs are 500 without a word to the page, and said on the server's output", async () => {
    const said = vi.spyOn(console, "error").mockImplementation(() => undefined);
    const response = await failing(new TypeError("secret"));
    expect([response.status, await response.json(), said.mock.calls.length]).toEqual([500, { problem: null }, 1]);
    said.mockClear();
  });
});
