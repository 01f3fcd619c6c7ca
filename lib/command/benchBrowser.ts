/** The browser that a bench draws in: Debian's, without a graphics card. */
export const CHROMIUM = "/usr/bin/chromium";
export const CHROMIUM_ARGUMENTS: readonly string[] = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
