/** What every answer of the wire carries: it is data for programs, never a page, and belongs to nobody else's page. */
export const WIRE_HEADERS = {
  "X-Content-Type-Options": "nosniff", "Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
  "Cross-Origin-Resource-Policy": "same-origin",
} as const;
