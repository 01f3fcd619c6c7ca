const development = process.env.NODE_ENV === "development";

/** Pages load nothing from elsewhere. Next writes its page data into inline scripts and React its styles into attributes, hence 'unsafe-inline' there. */
const CONTENT_SECURITY_POLICY = [
  "default-src 'none'", `script-src 'self' 'unsafe-inline'${development ? " 'unsafe-eval'" : ""}`, "style-src 'self' 'unsafe-inline'", "img-src 'self' data:",
  "font-src 'self'", "connect-src 'self'", "base-uri 'none'", "form-action 'self'", "frame-ancestors 'none'",
].join("; ");

/** Kept pictures of runs came from elsewhere: shown by an img, and nothing in them may run or load. */
const PICTURE_HEADERS = [{ key: "Content-Security-Policy", value: "default-src 'none'; sandbox" }];

const SECURITY_HEADERS = [
  { key: "Content-Security-Policy", value: CONTENT_SECURITY_POLICY },
  { key: "X-Content-Type-Options", value: "nosniff" },
  { key: "X-Frame-Options", value: "DENY" },
  { key: "Referrer-Policy", value: "no-referrer" },
  { key: "Permissions-Policy", value: "camera=(), microphone=(), geolocation=(), usb=(), serial=()" },
  { key: "Cross-Origin-Opener-Policy", value: "same-origin" },
  { key: "Cross-Origin-Resource-Policy", value: "same-origin" },
];

/** @type {import("next").NextConfig} */
export default {
  poweredByHeader: false,
  reactStrictMode: true,
  // Types are checked by `npm test` over the whole program; a start need not wait for it again.
  typescript: { ignoreBuildErrors: true },
  serverExternalPackages: ["@node-rs/argon2", "better-sqlite3", "@prisma/client", "@prisma/adapter-better-sqlite3", "fontkit", "pdfkit"],
  async headers() {
    return [{ source: "/:path*", headers: SECURITY_HEADERS }, ...["/api/runs/:id/pictures/:sha256", "/api/live/:id/picture"].map((source) => ({ source, headers: PICTURE_HEADERS }))];
  },
};
