import { IncomingMessage, ServerResponse } from "node:http";
import { Socket } from "node:net";
import { describe, expect, it } from "vitest";
import { screenNameOf } from "../../../lib/server/people/actor.ts";
import { cameByHttps, cookieText, readCookie } from "../../../lib/server/people/cookies.ts";
import { addressOf, markIncoming } from "../../../lib/server/people/incoming.ts";

describe("a cookie", () => {
  it("is for this site and no script; Secure where it came by https", () => {
    expect(cookieText("aslaid-session", "a_b-C9", { maxAgeS: null, isHttps: false })).toBe("aslaid-session=a_b-C9; Path=/; HttpOnly; SameSite=Strict");
    expect(cookieText("aslaid-screen", "q7", { maxAgeS: 86_401, isHttps: true })).toBe("aslaid-screen=q7; Path=/; HttpOnly; SameSite=Strict; Max-Age=86401; Secure");
    expect(cookieText("aslaid-session", "", { maxAgeS: 0, isHttps: false })).toBe("aslaid-session=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0");
  });

  it("takes no value that could end its line", () => {
    for (const value of ["a;b", "a\r\nb", "a b", "a=b", "ä"]) expect(() => cookieText("x", value, { maxAgeS: null, isHttps: false })).toThrow(TypeError);
  });

  it("is read by its whole name, the first of two, and not where its value is not of our making", () => {
    expect(readCookie("other=1; aslaid-session=abc-9; x=2", "aslaid-session")).toBe("abc-9");
    expect(readCookie("aslaid-session=first; aslaid-session=second", "aslaid-session")).toBe("first");
    for (const header of [null, undefined, "", "xaslaid-session=abc", "aslaid-session", "aslaid-session=", `aslaid-session="abc"`, "aslaid-session=a%20b"]) expect(readCookie(header, "aslaid-session")).toBeNull();
  });

  it("knows https by what a proxy says, or by the page's origin", () => {
    const by = (headers: Record<string, string>): boolean => cameByHttps(new Headers(headers));
    expect([by({ "x-forwarded-proto": "https" }), by({ "x-forwarded-proto": "https, http" }), by({ origin: "https://cell-pc" })]).toEqual([true, true, true]);
    expect([by({}), by({ "x-forwarded-proto": "http, https" }), by({ origin: "http://cell-pc" })]).toEqual([false, false, false]);
  });
});

/** A request as node hands it over. */
function incoming(url: string, headers: Readonly<Record<string, string>>, address = "192.0.2.9"): { readonly request: IncomingMessage; readonly response: ServerResponse; readonly asking: { readonly headers: Headers } } {
  const socket = new Socket(), request = new IncomingMessage(socket);
  Object.defineProperty(socket, "remoteAddress", { value: address });
  Object.assign(request, { url, headers: { ...headers } });
  const response = new ServerResponse(request);
  markIncoming(request, response);
  return { request, response, asking: { headers: new Headers(request.headers as Record<string, string>) } };
}

describe("a screen", () => {
  it("gets a cookie for 400 days at its first request, which has it already; its name is six figures that do not give the cookie away", () => {
    const { response, request, asking } = incoming("/", {});
    const line = String(response.getHeader("set-cookie")), value = /^aslaid-screen=([\w-]{22}); Path=\/; HttpOnly; SameSite=Strict; Max-Age=34560000$/.exec(line)?.[1];
    expect([value === undefined, request.headers.cookie]).toEqual([false, `aslaid-screen=${value}`]);
    expect(screenNameOf(asking)).toMatch(/^[0-9a-f]{6}$/);
    expect(incoming("/", { cookie: `a=1; aslaid-screen=${value}` }).response.getHeader("set-cookie")).toBeUndefined();
    expect(screenNameOf(incoming("/", { cookie: `aslaid-screen=${value}` }).asking)).toBe(screenNameOf(asking));
  });

  it("keeps the other cookies of its request; built files set none", () => {
    expect(incoming("/import", { cookie: "a=1" }).request.headers.cookie).toMatch(/^a=1; aslaid-screen=[\w-]{22}$/);
    expect(incoming("/_next/static/chunks/1.js", {}).response.getHeader("set-cookie")).toBeUndefined();
  });
});

describe("where a request is from", () => {
  it("is the socket's address, whatever the request says", () => {
    expect(addressOf(incoming("/", { "x-aslaid-address": "198.51.100.4" }, "192.0.2.11").asking)).toBe("192.0.2.11");
  });

  it("an address of version 6 counts by its network of 64 bits, a mapped one as version 4", () => {
    const of = (address: string): string => addressOf(incoming("/", {}, address).asking);
    expect(of("::ffff:127.0.0.1")).toBe("127.0.0.1");
    expect([of("2001:db8:1:2:3:4:5:6"), of("2001:db8:1:2::9")]).toEqual(["2001:db8:1:2::/64", "2001:db8:1:2::/64"]);
    expect([of("::1"), of("fe80::7%eth0")]).toEqual(["0:0:0:0::/64", "fe80:0:0:0::/64"]);
  });
});
