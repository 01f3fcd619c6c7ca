/** Cookies of this server: who is signed in, and which screen it is. No script of a page can read one, and none goes along from another site. */

/** Holds a session's token. */
export const SESSION_COOKIE = "aslaid-session";
/** Holds what tells this browser from others. */
export const SCREEN_COOKIE = "aslaid-screen";

export interface CookieSettings {
  /** How long the browser keeps it, s; 0: it drops it now; null: until the browser is closed. */
  readonly maxAgeS: number | null;
  /** It came, and may go back, by https alone. */
  readonly isHttps: boolean;
}

/** A Set-Cookie line. `value`: letters, figures, - and _ alone. */
export function cookieText(name: string, value: string, { maxAgeS, isHttps }: CookieSettings): string {
  if (!/^[\w-]*$/.test(value)) throw new TypeError("a cookie's value is letters, figures, - and _");
  return [`${name}=${value}`, "Path=/", "HttpOnly", "SameSite=Strict", ...(maxAgeS === null ? [] : [`Max-Age=${maxAgeS}`]), ...(isHttps ? ["Secure"] : [])].join("; ");
}

/** A cookie's value out of a Cookie header; null: it is not there, or not of our making. Of two the first counts. */
export function readCookie(header: string | null | undefined, name: string): string | null {
  for (const part of (header ?? "").split(";")) {
    const [key, value] = part.trim().split("=", 2);
    if (key === name && value !== undefined && /^[\w-]+$/.test(value)) return value;
  }
  return null;
}

/** Whether a request came to this server's front by https: a proxy says so. */
export function cameByHttps(headers: Pick<Headers, "get">): boolean {
  return headers.get("x-forwarded-proto")?.split(",")[0]?.trim() === "https" || headers.get("origin")?.startsWith("https://") === true;
}
