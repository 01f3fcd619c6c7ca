/** What is put on a request as it comes in, before anybody answers it: where it is from, and which screen it is. */
import { randomBytes } from "node:crypto";
import type { IncomingMessage, ServerResponse } from "node:http";
import { cookieText, readCookie, SCREEN_COOKIE } from "./cookies.ts";

/** Overwritten on every request, so that nobody can write it. */
export const ADDRESS_HEADER = "x-aslaid-address";
/** The longest that browsers keep a cookie (RFC 6265bis, 5.5), s. */
const SCREEN_KEPT_S = 400 * 24 * 3600;

/** Notes the address, and gives a browser that has none what tells its screen from others; this request has it already. Built files need none. */
export function markIncoming(request: IncomingMessage, response: ServerResponse): void {
  request.headers[ADDRESS_HEADER] = request.socket.remoteAddress ?? "";
  if (request.url?.startsWith("/_next/") === true || readCookie(request.headers.cookie, SCREEN_COOKIE) !== null) return;
  const screen = randomBytes(16).toString("base64url"), isHttps = request.headers["x-forwarded-proto"] === "https";
  response.appendHeader("Set-Cookie", cookieText(SCREEN_COOKIE, screen, { maxAgeS: SCREEN_KEPT_S, isHttps }));
  request.headers.cookie = [request.headers.cookie, `${SCREEN_COOKIE}=${screen}`].filter((part) => part !== undefined && part !== "").join("; ");
}

/** Where a request is from, as far as rates go: an address of version 6 by its network (/64). "": not known. */
export function addressOf({ headers }: { readonly headers: Pick<Headers, "get"> }): string {
  const address = (headers.get(ADDRESS_HEADER) ?? "").replace(/^::ffff:(?=\d+\.)/i, "");
  return address.includes(":") ? networkOf(address) : address;
}

function networkOf(address: string): string {
  const [head = "", tail] = address.replace(/%.*$/, "").split("::"), groups = head.split(":").filter((group) => group !== "");
  const after = tail === undefined ? [] : tail.split(":").filter((group) => group !== "");
  const whole = tail === undefined ? groups : [...groups, ...Array.from({ length: Math.max(0, 8 - groups.length - after.length) }, () => "0"), ...after];
  return `${whole.slice(0, 4).join(":")}::/64`;
}
