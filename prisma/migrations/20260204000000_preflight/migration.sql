-- CreateTable
CREATE TABLE "BeforePrint" (
    "resultId" TEXT NOT NULL PRIMARY KEY,
    "preflightJson" TEXT NOT NULL,
    "supportJson" TEXT,
    CONSTRAINT "BeforePrint_resultId_fkey" FOREIGN KEY ("resultId") REFERENCES "Result" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
