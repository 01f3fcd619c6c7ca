-- What the newest used frame that shows a station says of it
ALTER TABLE "Reading" ADD COLUMN "cameraState" TEXT;
ALTER TABLE "Reading" ADD COLUMN "cameraWidthMm" REAL;
ALTER TABLE "Reading" ADD COLUMN "cameraUWidthMm" REAL;
ALTER TABLE "Reading" ADD COLUMN "cameraFile" TEXT;

-- What only frames raise
ALTER TABLE "Finding" ADD COLUMN "frameFile" TEXT;
ALTER TABLE "Finding" ADD COLUMN "deviceId" TEXT;
ALTER TABLE "Finding" ADD COLUMN "cameraState" TEXT;
ALTER TABLE "Finding" ADD COLUMN "cameraVerdict" TEXT;

-- CreateTable
CREATE TABLE "Frame" (
    "resultId" TEXT NOT NULL,
    "frameIndex" INTEGER NOT NULL,
    "file" TEXT NOT NULL,
    "tS" REAL NOT NULL,
    "used" BOOLEAN NOT NULL,
    "reason" TEXT,
    "separability" REAL,
    "poseErrorMm" REAL,
    "stretchesJson" TEXT NOT NULL,
    "bodiesJson" TEXT NOT NULL,
    "nozzleHangMm2" REAL,

    PRIMARY KEY ("resultId", "frameIndex"),
    CONSTRAINT "Frame_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
