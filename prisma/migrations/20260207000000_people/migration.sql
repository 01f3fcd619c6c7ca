-- Who acts: people, their sessions, and the links that let somebody in once. A person is never deleted and never renamed: runs' logs name them.
-- Person without row numbers: REPLACE finds no second way to a row.

-- CreateTable
CREATE TABLE "Person" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "nameKey" TEXT NOT NULL,
    "rolesJson" TEXT NOT NULL,
    "passphraseHash" TEXT NOT NULL,
    "createdAt" TEXT NOT NULL,
    "retiredAt" TEXT
) WITHOUT ROWID;

-- CreateIndex
CREATE UNIQUE INDEX "Person_name_key" ON "Person"("name");

-- CreateIndex
CREATE UNIQUE INDEX "Person_nameKey_key" ON "Person"("nameKey");

-- CreateTrigger
CREATE TRIGGER "Person_refuses_delete" BEFORE DELETE ON "Person"
BEGIN SELECT RAISE(ABORT, 'a person is retired, never deleted'); END;

-- CreateTrigger
CREATE TRIGGER "Person_refuses_another_name" BEFORE UPDATE OF "id", "name", "nameKey", "createdAt" ON "Person"
BEGIN SELECT RAISE(ABORT, 'a person keeps the name that stands in logs'); END;

-- CreateTrigger
-- REPLACE deletes without asking the trigger above, so a place that is taken is refused before that.
CREATE TRIGGER "Person_refuses_replace" BEFORE INSERT ON "Person"
WHEN EXISTS (SELECT 1 FROM "Person" WHERE "id" = NEW."id" OR "name" = NEW."name" OR "nameKey" = NEW."nameKey")
BEGIN SELECT RAISE(ABORT, 'a person is retired, never deleted'); END;

-- CreateTable
CREATE TABLE "Session" (
    "tokenSha256" TEXT NOT NULL PRIMARY KEY,
    "personId" TEXT NOT NULL,
    "createdAt" TEXT NOT NULL,
    "seenAt" TEXT NOT NULL,
    "expiresAt" TEXT NOT NULL,
    "revokedAt" TEXT,
    CONSTRAINT "Session_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);

-- CreateIndex
CREATE INDEX "Session_personId_idx" ON "Session"("personId");

-- CreateTable
CREATE TABLE "EntryLink" (
    "keySha256" TEXT NOT NULL PRIMARY KEY,
    "kind" TEXT NOT NULL,
    "personId" TEXT,
    "name" TEXT,
    "nameKey" TEXT,
    "rolesJson" TEXT NOT NULL,
    "createdAt" TEXT NOT NULL,
    "createdBy" TEXT NOT NULL,
    "expiresAt" TEXT NOT NULL,
    "usedAt" TEXT,
    CONSTRAINT "EntryLink_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT
);
