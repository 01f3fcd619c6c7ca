-- RedefineTables: a station that was taken off and not laid again stands beside what was read of it before, both of the same attempt
CREATE TABLE "new_Reading" (
    "resultId" TEXT NOT NULL,
    "layer" INTEGER NOT NULL,
    "strand" INTEGER NOT NULL,
    "attempt" INTEGER NOT NULL,
    "stationIndex" INTEGER NOT NULL,
    "newest" BOOLEAN NOT NULL,
    "limitIndex" INTEGER NOT NULL,
    "sMm" REAL NOT NULL,
    "xMm" REAL NOT NULL,
    "yMm" REAL NOT NULL,
    "zMm" REAL NOT NULL,
    "laid" BOOLEAN NOT NULL,
    "plannedWidthMm" REAL NOT NULL,
    "plannedHeightMm" REAL NOT NULL,
    "plannedAreaMm2" REAL NOT NULL,
    "widthMm" REAL,
    "heightMm" REAL,
    "areaMm2" REAL,
    "offsetMm" REAL,
    "coverageFraction" REAL,
    "support" TEXT,
    "ageS" REAL,
    "uWidthMm" REAL,
    "uHeightMm" REAL,
    "uAreaMm2" REAL,
    "uOffsetMm" REAL,
    "uPlacementMm" REAL,
    "areaRatio" REAL,
    "verdict" TEXT NOT NULL,
    "proven" BOOLEAN NOT NULL,
    "sagMm" REAL,

    PRIMARY KEY ("resultId", "layer", "strand", "attempt", "stationIndex", "newest"),
    CONSTRAINT "Reading_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
INSERT INTO "new_Reading" SELECT * FROM "Reading";
DROP TABLE "Reading";
ALTER TABLE "new_Reading" RENAME TO "Reading";
