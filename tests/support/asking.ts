/** Requests as a page of this server sends them, handed to routes without a server. */
const HERE = "http://127.0.0.1:4312";

export interface AskingOptions { readonly cookie?: string; readonly address?: string; readonly headers?: Readonly<Record<string, string>> }

/** A request with what the browser and the server's front put on it. `body` undefined: a GET. */
export function asking(path: string, body?: object, { cookie, address = "192.0.2.1", headers = {} }: AskingOptions = {}): Request {
  const sent = new Headers({ "x-aslaid-address": address, ...(cookie === undefined ? {} : { cookie }), ...headers });
  const request = new Request(`${HERE}${path}`, body === undefined ? {} : { method: "POST", body: JSON.stringify(body) });
  for (const [key, value] of [["host", "127.0.0.1:4312"], ["origin", HERE]] as const) if (!sent.has(key)) sent.set(key, value);
  return new Proxy(request, { get: (target, key) => (key === "headers" ? sent : bound(target, key)) });
}

function bound(target: Request, key: string | symbol): unknown {
  const value: unknown = Reflect.get(target, key, target);
  return typeof value === "function" ? (value as (...args: unknown[]) => unknown).bind(target) : value;
}

/** The Cookie header that a browser sends after an answer; "": none was set. */
export function cookieFrom(response: Response): string {
  return response.headers.getSetCookie().map((line) => line.split(";")[0] ?? "").join("; ");
}
