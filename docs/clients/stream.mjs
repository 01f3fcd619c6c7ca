#!/usr/bin/env node
// Streams a recorded run folder to Aslaid as a cell would: node 20, no packages.
//   TOKEN=… node stream.mjs FOLDER [http://127.0.0.1:4312]
// Sends profiles (NDJSON), progress, rework, poses and signals in order of time, each body until it is acknowledged, answers
// commands, ends the run and prints its id. A cell of your own replaces `bodies` and `obey`; the rest may stay.
import { randomUUID } from "node:crypto";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

const [folder, server = "http://127.0.0.1:4312"] = process.argv.slice(2);
const token = process.env.TOKEN;
if (folder === undefined || token === undefined) {
  console.error("usage: TOKEN=… node stream.mjs FOLDER [SERVER]");
  process.exit(2);
}

const ROW_STREAMS = ["progress", "rework", "poses", "signals"];
const TEXT_COLUMNS = new Set(["event", "who", "reason", "device", "from", "to", "name"]);
const NDJSON = "application/x-ndjson", JSON_TYPE = "application/json";
/** Messages in one body: some tenths of a second of a print. */
const BATCH = 200;
/** Between two tries, ms. */
const AGAIN_MS = 500;

const wait = (ms) => new Promise((done) => { setTimeout(done, ms); });

/** One call, again and again until the server has answered it. What the server refuses ends the program: it would refuse it again. */
async function call(method, path, type, body, headers = {}) {
  for (;;) {
    const response = await fetch(`${server}/api/v1${path}`, {
      method, headers: { Authorization: `Bearer ${token}`, ...(body === undefined ? {} : { "Content-Type": type }), ...headers }, body,
    }).catch(() => null); // not there, or gone in the middle: nothing was acknowledged
    const text = await response?.text().catch(() => null);
    if (response?.ok && typeof text === "string") return text === "" ? null : JSON.parse(text);
    if (response !== null && response.status < 500) throw new Error(`${method} ${path}: ${response.status} ${text}`);
    await wait(1000 * Number(response?.headers.get("retry-after") ?? 0) || AGAIN_MS);
  }
}

/** Cells of a line of CSV, quoted ones too. */
function cells(line) {
  return [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map(([, quoted, plain]) => (quoted === undefined ? plain : quoted.replaceAll('""', '"')));
}

/** Rows of a CSV file with its columns in camelCase; a file without line breaks inside cells. */
function rows(name) {
  const path = join(folder, `${name}.csv`);
  if (!existsSync(path)) return [];
  const [head, ...lines] = readFileSync(path, "utf8").split(/\r?\n/).filter((line) => line !== "");
  const keys = cells(head).map((column) => column.trim().replace(/_([a-z])/g, (_, letter) => letter.toUpperCase()));
  return lines.map((line) => Object.fromEntries(cells(line).map((cell, i) => [keys[i], TEXT_COLUMNS.has(keys[i]) ? cell : Number(cell)])));
}

/** Everything of the folder as { tS, stream, head, item }, in order of time; at equal times rows before profiles. */
function messages() {
  const all = ROW_STREAMS.flatMap((stream) => rows(stream).map((item) => ({ tS: item.tS, stream, head: "", item })));
  for (const file of readdirSync(folder).filter((name) => /^profiles(\..+)?\.ndjson$/.test(name)).sort()) {
    const [head, ...lines] = readFileSync(join(folder, file), "utf8").split("\n").filter((line) => line.trim() !== "");
    for (const item of lines) all.push({ tS: JSON.parse(item).tS, stream: "profiles", head, item });
  }
  return all.sort((a, b) => a.tS - b.tS); // stable
}

/** Messages in bodies: those of one stream that follow each other, up to BATCH of a stretch of time. */
function* bodies() {
  const all = messages();
  for (let at = 0; at < all.length; at += BATCH) {
    const groups = new Map();
    for (const message of all.slice(at, at + BATCH)) {
      const key = `${message.stream}\n${message.head}`;
      groups.set(key, [...(groups.get(key) ?? []), message]);
    }
    for (const [key, group] of groups) {
      const [stream, head] = key.split("\n"), items = group.map(({ item }) => item);
      yield { stream, tS: group.at(-1).tS, type: head === "" ? JSON_TYPE : NDJSON, text: head === "" ? JSON.stringify(items) : `${[head, ...items].join("\n")}\n` };
    }
  }
}

const cell = { tS: 0, isPaused: false, isAborted: false, isOver: false };

/** What this "cell" does with a command: a recording cannot be changed, so it only stops and goes on. */
function obey({ kind }) {
  if (kind === "pause") cell.isPaused = true;
  else if (kind === "resume") cell.isPaused = false;
  else if (kind === "abort") cell.isAborted = true;
  else return { outcome: "refused", note: "a recording's flow is what it was" };
  return { outcome: "done", note: "by the example client" };
}

/** Asks for commands and answers them. A real cell also pauses by itself when this gets no answer for its `cellSilenceS`. */
async function answerCommands(runId) {
  for (let after = 0; !cell.isOver;) {
    for (const command of await call("GET", `/runs/${runId}/commands?after=${after}&waitS=1`)) {
      await call("POST", `/runs/${runId}/commands/${command.n}/receipt`, JSON_TYPE, JSON.stringify({ ...obey(command), tS: cell.tS }));
      after = command.n;
    }
  }
}

async function stream(runId) {
  for (const { stream: name, tS, type, text } of bodies()) {
    while (cell.isPaused && !cell.isAborted) await wait(50);
    if (cell.isAborted) return;
    const { rejected } = await call("POST", `/runs/${runId}/${name}`, type, text);
    for (const { index, reason } of rejected) console.error(`${name} ${index} was refused: ${reason}`);
    cell.tS = tS;
  }
}

const job = JSON.parse(readFileSync(join(folder, "job.json"), "utf8"));
const planText = readFileSync(join(folder, job.plan.file), "utf8"), planFormat = job.plan.file.endsWith(".gcode") ? "gcode" : "csv";
const { runId } = await call("POST", "/runs", JSON_TYPE, JSON.stringify({ job, planText, planFormat }), { "Idempotency-Key": randomUUID() });
const commands = answerCommands(runId);
await stream(runId);
cell.isOver = true;
await commands;
await call("POST", `/runs/${runId}/finish`);
console.log(runId);
