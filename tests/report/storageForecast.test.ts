import { describe, expect, it } from "vitest";
import { daysLeft, storageWords } from "../../lib/report/storageForecast.ts";

const nowMs = Date.UTC(2026, 4, 1);
const need = { runCount: 14, rawBytes: 3.8e9, addedBytes: 1.8e9, droppableBytes: 3.1e9, oldestAt: "2025-11-02T08:00:00.000Z", freeBytes: 5e9, nowMs };

describe("room for runs", () => {
  it("1.8 GB in 90 days fill 5 GB in 250 days", () => {
    expect(daysLeft(need)).toBeCloseTo(250, 9);
    expect(storageWords(need).sentence).toBe("The files of 14 runs take 3.80 GB; the last 90 days added 1.80 GB. At that rate the disk is full in 250 days, on 2027-01-06. To export the runs that are over and to drop their recorded streams would free 3.10 GB.");
  });

  it("a first run 20 days ago counts for 20 days and not for 90: 400 MB a 20 days fill 5 GB in 250 days, too", () => {
    const young = { ...need, addedBytes: 4e8, oldestAt: "2026-04-11T00:00:00.000Z" };
    expect(daysLeft(young)).toBeCloseTo(250, 9);
    expect(storageWords(young).sentence).toContain("since the first run, 20 days ago, 400 MB were added");
  });

  it("says nothing of a day where nothing was added, where it is over ten years off, and where no run is kept", () => {
    expect(storageWords({ ...need, addedBytes: 0 }).sentence).toContain("Nothing was added, so no day is forecast");
    expect(storageWords({ ...need, freeBytes: 74e9 }).sentence).toContain("not full within ten years");
    expect(storageWords({ ...need, runCount: 0, rawBytes: 0, addedBytes: 0, droppableBytes: 0, oldestAt: null }).sentence).toBe("No run is kept; 5.00 GB are free on the disk.");
  });

  it("less than a day is said so", () => {
    expect(storageWords({ ...need, freeBytes: 1.9e7 }).sentence).toContain("full in less than a day, on 2026-05-01.");
  });
});
