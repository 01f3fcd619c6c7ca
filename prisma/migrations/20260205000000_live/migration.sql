-- AlterTable
ALTER TABLE "Run" ADD COLUMN "idempotencyKey" TEXT;
ALTER TABLE "Run" ADD COLUMN "endAsked" TEXT;

-- CreateIndex
CREATE UNIQUE INDEX "Run_idempotencyKey_key" ON "Run"("idempotencyKey");

-- CreateTable
CREATE TABLE "DeviceToken" (
    "name" TEXT NOT NULL PRIMARY KEY,
    "sha256" TEXT NOT NULL,
    "device" TEXT,
    "createdAt" TEXT NOT NULL,
    "lastUsedAt" TEXT,
    "revokedAt" TEXT
);

-- CreateIndex
CREATE UNIQUE INDEX "DeviceToken_sha256_key" ON "DeviceToken"("sha256");

-- CreateTable
CREATE TABLE "Command" (
    "runId" TEXT NOT NULL,
    "n" INTEGER NOT NULL,
    "bodyJson" TEXT NOT NULL,
    "actor" TEXT NOT NULL,
    "askedAt" TEXT NOT NULL,
    "sentAt" TEXT,
    "outcome" TEXT,
    "receiptTS" REAL,
    "note" TEXT,
    "receiptAt" TEXT,

    PRIMARY KEY ("runId", "n"),
    CONSTRAINT "Command_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
