/** Device tokens: what is kept of one is its hash, whom it is for, and when it was last used. */
import type { Sqlite } from "./connection.ts";
import type { DeviceTokenModel } from "./generated/models.ts";

export type DeviceToken = DeviceTokenModel;

/** False: the name is taken, by a token that is revoked too. */
export function addToken(db: Sqlite, { name, sha256, device, createdAt }: Pick<DeviceToken, "name" | "sha256" | "device" | "createdAt">): boolean {
  return db.prepare(`INSERT INTO "DeviceToken" (name, sha256, device, createdAt) VALUES (?, ?, ?, ?) ON CONFLICT (name) DO NOTHING`).run(name, sha256, device, createdAt).changes === 1;
}

/** Adds a token, or puts it in the place of the one that has its name. */
export function replaceToken(db: Sqlite, { name, sha256, device, createdAt }: Pick<DeviceToken, "name" | "sha256" | "device" | "createdAt">): void {
  db.prepare(`INSERT INTO "DeviceToken" (name, sha256, device, createdAt) VALUES (?, ?, ?, ?)
    ON CONFLICT (name) DO UPDATE SET sha256 = excluded.sha256, device = excluded.device, createdAt = excluded.createdAt, lastUsedAt = NULL, revokedAt = NULL`).run(name, sha256, device, createdAt);
}

/** The token of this hash; null: none, or revoked. */
export function findToken(db: Sqlite, sha256: string): DeviceToken | null {
  return db.prepare<[string], DeviceToken>(`SELECT * FROM "DeviceToken" WHERE sha256 = ? AND revokedAt IS NULL`).get(sha256) ?? null;
}

export function noteTokenUse(db: Sqlite, name: string, at: string): void {
  db.prepare(`UPDATE "DeviceToken" SET lastUsedAt = ? WHERE name = ?`).run(at, name);
}

/** False: there is no such token that is not revoked already. */
export function revokeToken(db: Sqlite, name: string, at: string): boolean {
  return db.prepare(`UPDATE "DeviceToken" SET revokedAt = ? WHERE name = ? AND revokedAt IS NULL`).run(at, name).changes === 1;
}

/** Oldest first, revoked ones too. */
export function listTokens(db: Sqlite): DeviceToken[] {
  return db.prepare<[], DeviceToken>(`SELECT * FROM "DeviceToken" ORDER BY createdAt, name`).all();
}
