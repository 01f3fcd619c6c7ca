-- A recompute is a result beside the run's own: who asked for it, why, and the job as it used it
ALTER TABLE "Result" ADD COLUMN "computedBy" TEXT;
ALTER TABLE "Result" ADD COLUMN "reason" TEXT;
ALTER TABLE "Result" ADD COLUMN "jobText" TEXT;

-- CreateTable
CREATE TABLE "StrandMean" (
    "resultId" TEXT NOT NULL,
    "layer" INTEGER NOT NULL,
    "strand" INTEGER NOT NULL,
    "laidCount" INTEGER NOT NULL,
    "measuredCount" INTEGER NOT NULL,
    "inBandCount" INTEGER NOT NULL,
    "areaRatio" REAL,
    "widthDevMm" REAL,
    "heightDevMm" REAL,
    "offsetMm" REAL,
    "laidS" REAL,
    "uNoiseMm2" REAL,
    "uSamplingMm2" REAL,
    "uSupportMm2" REAL,
    "uDriftMm2" REAL,
    "uHolesMm2" REAL,
    "uCalibrationMm2" REAL,

    PRIMARY KEY ("resultId", "layer", "strand"),
    CONSTRAINT "StrandMean_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ReportBody" (
    "resultId" TEXT NOT NULL PRIMARY KEY,
    "bodyJson" TEXT NOT NULL,
    CONSTRAINT "ReportBody_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
