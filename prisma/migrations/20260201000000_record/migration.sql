-- The record of a run: what happened, in a chain of hashes; seals over it; the files as they came, kept by hash beside the database.
-- Tables without row numbers: REPLACE finds no second way to a row.

-- CreateTable
CREATE TABLE "LogEntry" (
    "runId" TEXT NOT NULL,
    "seq" INTEGER NOT NULL,
    "at" TEXT NOT NULL,
    "actor" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "payloadJson" TEXT NOT NULL,
    "prev" TEXT NOT NULL,
    "hash" TEXT NOT NULL,

    PRIMARY KEY ("runId", "seq"),
    CONSTRAINT "LogEntry_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT
) WITHOUT ROWID;

-- CreateTable
CREATE TABLE "Seal" (
    "runId" TEXT NOT NULL,
    "count" INTEGER NOT NULL,
    "at" TEXT NOT NULL,
    "head" TEXT NOT NULL,
    "keyId" TEXT NOT NULL,
    "publicKeyPem" TEXT NOT NULL,
    "signature" TEXT NOT NULL,

    PRIMARY KEY ("runId", "count"),
    CONSTRAINT "Seal_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT
) WITHOUT ROWID;

-- CreateTable
CREATE TABLE "RawFile" (
    "runId" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "sha256" TEXT NOT NULL,
    "size" BIGINT NOT NULL,

    PRIMARY KEY ("runId", "name", "sha256"),
    CONSTRAINT "RawFile_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT
) WITHOUT ROWID;

-- CreateIndex
CREATE INDEX "RawFile_sha256_idx" ON "RawFile"("sha256");

-- CreateTrigger
CREATE TRIGGER "LogEntry_refuses_update" BEFORE UPDATE ON "LogEntry"
BEGIN SELECT RAISE(ABORT, 'the log is only added to'); END;

-- CreateTrigger
CREATE TRIGGER "LogEntry_refuses_delete" BEFORE DELETE ON "LogEntry"
BEGIN SELECT RAISE(ABORT, 'the log is only added to'); END;

-- CreateTrigger
-- REPLACE deletes without asking the trigger above, so a place that is taken or out of turn is refused before that.
CREATE TRIGGER "LogEntry_follows_the_last" BEFORE INSERT ON "LogEntry"
WHEN NEW."seq" <> 1 + (SELECT coalesce(max("seq"), 0) FROM "LogEntry" WHERE "runId" = NEW."runId")
BEGIN SELECT RAISE(ABORT, 'the log is only added to'); END;

-- CreateTrigger
CREATE TRIGGER "Seal_refuses_update" BEFORE UPDATE ON "Seal"
BEGIN SELECT RAISE(ABORT, 'seals are only added to'); END;

-- CreateTrigger
CREATE TRIGGER "Seal_refuses_delete" BEFORE DELETE ON "Seal"
BEGIN SELECT RAISE(ABORT, 'seals are only added to'); END;

-- CreateTrigger
CREATE TRIGGER "Seal_follows_the_last" BEFORE INSERT ON "Seal"
WHEN NEW."count" <= (SELECT coalesce(max("count"), 0) FROM "Seal" WHERE "runId" = NEW."runId")
BEGIN SELECT RAISE(ABORT, 'seals are only added to'); END;
