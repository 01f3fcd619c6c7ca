-- CreateTable
CREATE TABLE "ReadingHistory" (
    "resultId" TEXT NOT NULL,
    "layer" INTEGER NOT NULL,
    "strand" INTEGER NOT NULL,
    "attempt" INTEGER NOT NULL,
    "stationIndex" INTEGER NOT NULL,
    "ordinal" INTEGER NOT NULL,
    "device" TEXT NOT NULL,
    "seq" INTEGER NOT NULL,
    "tS" REAL NOT NULL,
    "ageS" REAL,
    "good" BOOLEAN NOT NULL,
    "stood" BOOLEAN NOT NULL,
    "widthMm" REAL,
    "heightMm" REAL,
    "areaMm2" REAL NOT NULL,
    "offsetMm" REAL,
    "uWidthMm" REAL,
    "uHeightMm" REAL,
    "uAreaMm2" REAL NOT NULL,
    "uOffsetMm" REAL,
    "areaRatio" REAL NOT NULL,
    "coverageFraction" REAL NOT NULL,
    "support" TEXT NOT NULL,
    "sagMm" REAL,
    "verdict" TEXT NOT NULL,
    "proven" BOOLEAN NOT NULL,

    PRIMARY KEY ("resultId", "layer", "strand", "attempt", "stationIndex", "ordinal"),
    CONSTRAINT "ReadingHistory_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "StationCut" (
    "resultId" TEXT NOT NULL,
    "layer" INTEGER NOT NULL,
    "strand" INTEGER NOT NULL,
    "attempt" INTEGER NOT NULL,
    "stationIndex" INTEGER NOT NULL,
    "device" TEXT NOT NULL,
    "seq" INTEGER NOT NULL,
    "tS" REAL NOT NULL,
    "drawing" BLOB NOT NULL,

    PRIMARY KEY ("resultId", "layer", "strand", "attempt", "stationIndex"),
    CONSTRAINT "StationCut_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
