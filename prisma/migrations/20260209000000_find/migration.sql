-- Runs are found by who acted in them and by what was done, without reading their whole logs
CREATE INDEX "LogEntry_kind_runId_idx" ON "LogEntry" ("kind", "runId");
CREATE INDEX "LogEntry_actor_runId_idx" ON "LogEntry" ("actor", "runId");
