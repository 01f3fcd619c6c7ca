-- Laid stations that no profile measured and a camera saw: with paste, and without
ALTER TABLE "Result" ADD COLUMN "cameraPresentCount" INTEGER;
ALTER TABLE "Result" ADD COLUMN "cameraAbsentCount" INTEGER;

-- CreateTable
CREATE TABLE "FramePlace" (
    "resultId" TEXT NOT NULL,
    "file" TEXT NOT NULL,
    "device" TEXT NOT NULL,
    "frame" TEXT NOT NULL,
    "sha256" TEXT NOT NULL,
    "tx" REAL NOT NULL,
    "ty" REAL NOT NULL,
    "tz" REAL NOT NULL,
    "qx" REAL NOT NULL,
    "qy" REAL NOT NULL,
    "qz" REAL NOT NULL,
    "qw" REAL NOT NULL,

    PRIMARY KEY ("resultId", "file"),
    CONSTRAINT "FramePlace_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
