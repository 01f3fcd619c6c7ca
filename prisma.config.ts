import { defineConfig } from "prisma/config";

/** Used by `prisma generate` alone: migrations are applied by lib/store at start, over better-sqlite3. */
export default defineConfig({ schema: "prisma/schema.prisma", migrations: { path: "prisma/migrations" } });
