import { request } from "node:http";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { NotNow } from "../../lib/rehearsal/liveCauseDeeds.ts";
import type { CauseRequest } from "../../lib/rehearsal/liveCauses.ts";
import { openDesk, type Desk } from "../../lib/rehearsal/liveDesk.ts";

let desk: Desk;
let caused: CauseRequest[] = [];
beforeEach(async () => {
  caused = [];
  desk = await openDesk(0, {
    state: () => ({ runId: "run <7>", doing: "Laying strand 2 of layer 1: 4.5 of 12.0 mm.", on: ["clog"] }),
    cause(asked) {
      if (asked.kind === "drag") throw new NotNow("nothing has been laid yet");
      caused.push(asked);
      return `${asked.kind} it is`;
    },
  });
});
afterEach(() => desk.close());

interface Got { readonly status: number; readonly headers: Record<string, unknown>; readonly text: string }
/** A request with headers as given, Host included. */
function ask(method: string, path: string, headers: Record<string, string> = {}, body = ""): Promise<Got> {
  const { hostname, port, host } = new URL(desk.url);
  return new Promise((done, fail) => {
    const sent = request({ hostname, port, path, method, headers: { host, ...headers } }, (response) => {
      let text = "";
      response.on("data", (part: Buffer) => { text += part.toString(); });
      response.on("end", () => done({ status: response.statusCode ?? 0, headers: response.headers, text }));
    });
    sent.on("error", fail);
    sent.end(body);
  });
}
const JSON_TYPE = { "content-type": "application/json" }, FORM = { "content-type": "application/x-www-form-urlencoded" };

describe("the training desk's page", () => {
  it("says REHEARSAL, what the cell is doing, and has a button for each of the eight causes, seven with words beneath", async () => {
    const { status, text, headers } = await ask("GET", "/");
    expect([status, headers["content-type"]]).toEqual([200, "text/html; charset=utf-8"]);
    for (const word of ["REHEARSAL", "run &lt;7&gt;", "Laying strand 2 of layer 1", "Clog the nozzle", "Air bubble", "Over-flow", "Drag the strand off", "Jolt the target", "Register again", "Cover the profiler", "Cut the network", "Take a stretch off"]) expect(text).toContain(word);
    expect(text.match(/<button/g)).toHaveLength(8 + 6); // six can be put right
    expect(text).toContain('<td id="clog-on">now</td>');
    expect(text).not.toMatch(/ style=|<style| on\w+=/);
  });

  it("is held to a strict policy, and its buttons are at least 44 px", async () => {
    const { headers } = await ask("GET", "/"), style = await ask("GET", "/desk.css"), script = await ask("GET", "/desk.js");
    expect(headers["content-security-policy"]).toBe("default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'");
    expect(style.text).toMatch(/button \{[^}]*min-height: 44px/);
    expect([style.status, script.status, script.headers["content-type"]]).toEqual([200, 200, "text/javascript; charset=utf-8"]);
  });

  it("its state is JSON, other paths and methods are not there", async () => {
    expect(JSON.parse((await ask("GET", "/state")).text)).toMatchObject({ on: ["clog"] });
    expect([(await ask("GET", "/etc")).status, (await ask("POST", "/state", JSON_TYPE, "{}")).status, (await ask("DELETE", "/cause")).status]).toEqual([404, 404, 405]);
  });
});

describe("POST /cause", () => {
  it("JSON is carried out and answered", async () => {
    const { status, text } = await ask("POST", "/cause", JSON_TYPE, '{"kind":"clog"}');
    expect([status, JSON.parse(text), caused]).toEqual([200, { said: "clog it is" }, [{ kind: "clog", undo: false, place: null }]]);
  });

  it("the page's own form is carried out, leads back, and the page says what was done", async () => {
    const form = (body: string) => ask("POST", "/cause", { ...FORM, origin: desk.url, "sec-fetch-site": "same-origin" }, body);
    const { status, headers } = await form("kind=takeOff&layer=1&strand=3&fromMm=2.5&toMm=7");
    await form("kind=jolt&undo=true");
    expect([status, headers.location]).toEqual([303, "/"]);
    expect(caused).toEqual([{ kind: "takeOff", undo: false, place: { layer: 1, strand: 3, fromMm: 2.5, toMm: 7 } }, { kind: "jolt", undo: true, place: null }]);
    expect((await ask("GET", "/")).text).toContain("jolt it is");
    await form("kind=drag");
    expect((await ask("GET", "/")).text).toContain("Not now: nothing has been laid yet.");
  });

  it("what cannot be now is 409, what is no cause 400, what is no JSON 400, another type 415, over 4096 bytes 413; nothing happens", async () => {
    const post = async (body: string, headers: Record<string, string> = JSON_TYPE) => (await ask("POST", "/cause", headers, body)).status;
    expect([await post('{"kind":"drag"}'), await post('{"kind":"fire"}'), await post("{"), await post("clog", { "content-type": "text/plain" })]).toEqual([409, 400, 400, 415]);
    expect([await post(`{"kind":"clog"${" ".repeat(4096 - 15)}}`), await post(`{"kind":"clog"${" ".repeat(4097 - 15)}}`), await post("x".repeat(200_000))]).toEqual([200, 413, 413]);
    expect(caused).toHaveLength(1);
  });
});

describe("others are refused", () => {
  it.each(["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example"])("a host called %s: 421, on every path", async (host) => {
    expect([(await ask("GET", "/", { host })).status, (await ask("GET", "/state", { host })).status, (await ask("POST", "/cause", { ...JSON_TYPE, host }, '{"kind":"clog"}')).status]).toEqual([421, 421, 421]);
    expect(caused).toEqual([]);
  });

  it("localhost with the right port is itself", async () => {
    const host = `localhost:${new URL(desk.url).port}`;
    expect([(await ask("GET", "/", { host })).status, (await ask("POST", "/cause", { ...FORM, host, origin: `http://${host}` }, "kind=clog")).status]).toEqual([200, 303]);
  });

  it.each<[string, Record<string, string>]>([
    ["a form from another origin", { ...FORM, origin: "http://evil.example" }], ["a form without an origin", FORM], ["a form from origin null", { ...FORM, origin: "null" }],
    ["JSON from another origin", { ...JSON_TYPE, origin: "http://127.0.0.1:1" }], ["JSON from another site", { ...JSON_TYPE, "sec-fetch-site": "cross-site" }],
    ["a form from another port of this host", { ...FORM, origin: "http://127.0.0.1:80", "sec-fetch-site": "same-site" }],
  ])("%s: 403", async (_what, headers) => {
    expect((await ask("POST", "/cause", headers, headers["content-type"] === JSON_TYPE["content-type"] ? '{"kind":"clog"}' : "kind=clog")).status).toBe(403);
    expect(caused).toEqual([]);
  });

  it("a port that is taken is an error", async () => {
    await expect(openDesk(Number(new URL(desk.url).port), { state: () => ({ runId: "", doing: "", on: [] }), cause: () => "" })).rejects.toMatchObject({ code: "EADDRINUSE" });
  });
});
