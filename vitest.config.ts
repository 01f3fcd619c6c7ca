import { defineConfig } from "vitest/config";

/** Rooms whose tests touch files, sockets, processes or the database. */
const OUTSIDE = ["source", "store", "server", "rehearsal", "command", "scripts"];

const project = (name: string, include: string[], more: { exclude?: string[]; testTimeout?: number; hookTimeout?: number } = {}) => ({
  extends: true as const,
  test: { name, include, ...more },
});

export default defineConfig({
  test: {
    environment: "node",
    setupFiles: ["tests/support/setup.ts"],
    env: { TZ: "UTC" },
    expect: { poll: { timeout: 15_000 } }, // a page under test shares two cores with its server and its neighbours
    pool: "forks",
    projects: [
      project("architecture", ["tests/*.test.ts"]),
      project("units", ["tests/*/**/*.test.ts"], { exclude: [...OUTSIDE, "browser"].map((room) => `tests/${room}/**`), testTimeout: 60_000 }),
      project("integration", OUTSIDE.map((room) => `tests/${room}/**/*.test.ts`), { testTimeout: 120_000, hookTimeout: 120_000 }),
      project("browser", ["tests/browser/**/*.test.ts"], { testTimeout: 60_000, hookTimeout: 120_000 }),
    ],
  },
});
