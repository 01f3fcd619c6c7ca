-- CreateTable
CREATE TABLE "Run" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "createdAt" TEXT NOT NULL,
    "contentSha256" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "specimen" TEXT,
    "materialName" TEXT NOT NULL,
    "lot" TEXT,
    "beadShape" TEXT NOT NULL,
    "state" TEXT NOT NULL,
    "rehearsal" BOOLEAN NOT NULL,
    "demo" BOOLEAN NOT NULL,
    "jobText" TEXT NOT NULL,
    "jobSha256" TEXT NOT NULL,
    "planFile" TEXT NOT NULL,
    "planText" TEXT NOT NULL,
    "planSha256" TEXT NOT NULL,
    "layerCount" INTEGER NOT NULL,
    "strandCount" INTEGER NOT NULL,
    "plannedLengthMm" REAL NOT NULL
);

-- CreateTable
CREATE TABLE "Strand" (
    "runId" TEXT NOT NULL,
    "layer" INTEGER NOT NULL,
    "strand" INTEGER NOT NULL,
    "approach" INTEGER NOT NULL,
    "waypointCount" INTEGER NOT NULL,
    "lengthMm" REAL NOT NULL,
    "closed" BOOLEAN NOT NULL,

    PRIMARY KEY ("runId", "layer", "strand"),
    CONSTRAINT "Strand_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Result" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "runId" TEXT NOT NULL,
    "computedAt" TEXT NOT NULL,
    "toleranceJson" TEXT NOT NULL,
    "warningsJson" TEXT NOT NULL,
    "stationCount" INTEGER NOT NULL,
    "laidCount" INTEGER NOT NULL,
    "measuredCount" INTEGER NOT NULL,
    "inBandLengthFraction" REAL,
    "plannedVolumeMm3" REAL NOT NULL,
    "measuredVolumeMm3" REAL NOT NULL,
    "minMeasuredFraction" REAL NOT NULL,
    "minInBandFraction" REAL NOT NULL,
    "maxActFindings" INTEGER NOT NULL,
    "actFindingCount" INTEGER NOT NULL,
    "watchFindingCount" INTEGER NOT NULL,

    CONSTRAINT "Result_runId_fkey" FOREIGN KEY ("runId") REFERENCES "Run" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "LimitSet" (
    "resultId" TEXT NOT NULL,
    "limitIndex" INTEGER NOT NULL,
    "areaRatioActLow" REAL NOT NULL,
    "areaRatioWatchLow" REAL NOT NULL,
    "areaRatioWatchHigh" REAL NOT NULL,
    "areaRatioActHigh" REAL NOT NULL,
    "widthMmActLow" REAL NOT NULL,
    "widthMmWatchLow" REAL NOT NULL,
    "widthMmWatchHigh" REAL NOT NULL,
    "widthMmActHigh" REAL NOT NULL,
    "heightMmActLow" REAL NOT NULL,
    "heightMmWatchLow" REAL NOT NULL,
    "heightMmWatchHigh" REAL NOT NULL,
    "heightMmActHigh" REAL NOT NULL,
    "offsetMmWatch" REAL NOT NULL,
    "offsetMmAct" REAL NOT NULL,
    "gapRatio" REAL NOT NULL,
    "liftMm" REAL NOT NULL,
    "strayAreaMm2" REAL NOT NULL,

    PRIMARY KEY ("resultId", "limitIndex"),
    CONSTRAINT "LimitSet_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Reading" (
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

    PRIMARY KEY ("resultId", "layer", "strand", "attempt", "stationIndex"),
    CONSTRAINT "Reading_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Finding" (
    "resultId" TEXT NOT NULL,
    "findingIndex" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "severity" TEXT NOT NULL,
    "proven" BOOLEAN NOT NULL,
    "layer" INTEGER NOT NULL,
    "strand" INTEGER,
    "fromMm" REAL,
    "toMm" REAL,
    "lengthMm" REAL,
    "areaMm2" REAL,
    "volumeMm3" REAL,
    "xMm" REAL NOT NULL,
    "yMm" REAL NOT NULL,
    "zMm" REAL NOT NULL,
    "worstMetric" TEXT,
    "worstValue" REAL,
    "worstLimit" REAL,

    PRIMARY KEY ("resultId", "findingIndex"),
    CONSTRAINT "Finding_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateIndex
CREATE UNIQUE INDEX "Run_contentSha256_key" ON "Run"("contentSha256");

-- CreateIndex
CREATE INDEX "Run_createdAt_idx" ON "Run"("createdAt");

-- CreateIndex
CREATE INDEX "Result_runId_computedAt_idx" ON "Result"("runId", "computedAt");
